from collections import Counter
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.release.classes import Member, classify
from pipelines.release.ledger import Entry, histories


def members(*ewes, system="lowland"):
    return [Member(f"F{number}", system, size) for number, size in enumerate(ewes)]


def release(ledger, present, seed=1):
    """Classes of a release, and the ledger with it."""
    classes = classify(present, ledger, Random(seed))
    number = {farm: place for place, at in enumerate(classes) for farm in at.farms}
    return classes, [*ledger, Entry(f"r{len(ledger)}", "vale", 2026, number)]


def farms(classes):
    return {farm for at in classes for farm in at.farms}


def test_flock_sizes_are_told_apart_only_as_far_as_three_farms_share_a_band():
    classes, _ = release([], members(60, 80, 149, 150, 200, 399, 400))
    assert [(at.flock_size, len(at.farms)) for at in classes] == [
        ("under 150 ewes", 3),
        ("150 ewes and over", 4),
    ]


def test_two_small_flocks_are_merged_upwards():
    classes, _ = release([], members(60, 80, 200, 300, 399, 400, 500, 600))
    assert [at.flock_size for at in classes] == ["under 400 ewes", "400 ewes and over"]


def test_few_farms_are_of_any_size():
    classes, _ = release([], members(60, 200, 800))
    assert [at.flock_size for at in classes] == ["any size"]


def test_systems_are_never_merged_and_a_rare_one_is_left_out():
    hill = [Member("H1", "hill", 300), Member("H2", "hill", 300)]
    classes, _ = release([], members(60, 80, 90) + hill)
    assert farms(classes) == {"F0", "F1", "F2"}


def test_the_same_group_may_be_released_again():
    first, ledger = release([], members(60, 80, 90, 200, 800))
    again, _ = release(ledger, members(60, 80, 90, 200, 800))
    assert [at.farms for at in again] == [at.farms for at in first]


def test_one_farm_more_changes_nothing():
    first, ledger = release([], members(60, 80, 90, 200, 800))
    again, _ = release(ledger, members(60, 80, 90, 200, 800, 70))
    assert farms(again) == farms(first)


def test_three_farms_more_come_in_together():
    _, ledger = release([], members(60, 80, 90, 200, 800))
    again, _ = release(ledger, members(60, 80, 90, 200, 800, 70, 75, 77))
    assert len(farms(again)) == 8


def test_one_farm_fewer_is_covered_by_two_more_left_out():
    _, ledger = release([], members(*[200] * 8))
    again, _ = release(ledger, members(*[200] * 8)[1:])
    assert len(farms(again)) == 5


def test_one_of_five_gone_leaves_nobody_to_hide_behind():
    _, ledger = release([], members(*[200] * 5))
    again, _ = release(ledger, members(*[200] * 5)[1:])
    assert farms(again) == set()


changes = st.lists(
    st.lists(st.integers(0, 13), unique=True, max_size=14).map(frozenset), min_size=2, max_size=6
)


@settings(max_examples=300, deadline=None)
@given(changes, st.lists(st.sampled_from([60, 200, 800]), min_size=14, max_size=14), st.integers(0, 9999))
def test_over_any_releases_every_history_is_shared_by_three_farms(present, ewes, seed):
    systems = ["hill", "lowland"]
    everyone = [Member(f"F{n}", systems[n % 2], size) for n, size in enumerate(ewes)]
    ledger = []
    for at in present:
        _, ledger = release(ledger, [everyone[n] for n in sorted(at)], seed)
    assert all(number >= 3 for number in Counter(histories(ledger).values()).values())
