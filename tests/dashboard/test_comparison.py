"""Compare and Scorers: like with like, luck allowed for, and whose difference it may be."""

import statistics
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from sklearn.metrics import cohen_kappa_score

from dashboard import comparison, data, scoring
from dashboard.components import comparing
from dashboard.views import compare_scorers, compare_standing, farm_trend, scorers
from dashboard.views.state import CompareState
from pipelines import queries
from pipelines.queries import Reader
from pipelines.statistics.agreement import LimitsOfAgreement
from pipelines.warehouse.snapshot import Snapshot


@pytest.fixture(scope="module")
def reader(demo_home: Path) -> Iterator[Reader]:
    snapshot = Snapshot(demo_home)
    yield Reader(snapshot)
    snapshot.close()


def lowland(reader: Reader, **changes: str) -> comparison.Compare:
    found = data.compare(reader, CompareState(season=2026, system="lowland", stage="pre-tupping", **changes))
    assert found is not None
    return found


def test_a_narrow_window_keeps_flocks_scored_near_the_middle_one(reader: Reader) -> None:
    every = lowland(reader, window="any")
    found = lowland(reader, window="1")
    middle = statistics.median(every.sessions["days_before"])
    assert all(abs(days - middle) <= 7 for days in found.sessions["days_before"])
    assert len(found.sessions) + found.outside == len(every.sessions) == 9


def test_one_breed_is_ranked_among_its_own(reader: Reader) -> None:
    found = lowland(reader, breed="Mule")
    assert set(found.sessions["breed"]) == {"Mule"}
    assert sorted(found.sessions["rank"]) == list(range(1, len(found.sessions) + 1))
    assert set(found.scores["farm"]) == set(found.sessions["farm"])


def test_without_narrowing_the_published_standing_is_shown(reader: Reader) -> None:
    published = queries.funnel_points(reader, 2026, "pre-tupping", "lowland").set_index("farm")
    for row in lowland(reader, window="any").sessions.itertuples():
        assert row.adjusted == published.loc[row.farm, "adjusted_thin_share"]


def test_change_since_last_season_is_later_minus_earlier(reader: Reader) -> None:
    before = queries.funnel_points(reader, 2025, "pre-tupping", "lowland").set_index("farm")["thin_share"]
    for row in lowland(reader).sessions.itertuples():
        assert row.change == pytest.approx(row.thin_share - before[row.farm])
        assert row.change_low <= row.change <= row.change_high


def test_ewes_to_the_best_quarter_are_of_the_whole_flock() -> None:
    # by hand: a quarter of 0.1, 0.2, 0.3, 0.4 lies at 0.175; of 100 ewes 2.5, 12.5 and 22.5 are above it
    farms = pd.DataFrame({"adjusted": [0.1, 0.2, 0.3, 0.4], "flock_ewes": 100, "ewes": 30})
    assert list(comparison._with_move(farms)["to_move"]) == [0, 3, 13, 23]
    assert comparison._with_move(farms.head(3))["to_move"].isna().all()


def test_kappa_of_a_recorded_pair_is_that_of_sklearn(reader: Reader) -> None:
    rows = queries.scorer_pairs(reader, "QUIL01")
    (pair,) = scoring.agreements(rows)
    codes = [(rows[name] * 4).astype(int) for name in ("score_a", "score_b")]
    labels = list(range(min(map(min, codes)), max(map(max, codes)) + 1, 2))  # all of them are half scores
    assert pair.linear is not None and pair.quadratic is not None
    assert pair.linear.value == pytest.approx(cohen_kappa_score(*codes, labels=labels, weights="linear"))
    assert pair.quadratic.value == pytest.approx(
        cohen_kappa_score(*codes, labels=labels, weights="quadratic")
    )


def test_limits_of_agreement_are_the_mean_and_two_deviations() -> None:
    rows = pairs(
        ("Tam", 2.5, "Zoë", 3.0), ("Tam", 3.0, "Zoë", 3.0), ("Tam", 3.0, "Zoë", 2.5), ("Tam", 2.0, "Zoë", 3.0)
    )
    (pair,) = scoring.agreements(rows)
    apart = [-0.5, 0.0, 0.5, -1.0]
    assert pair.limits is not None
    assert pair.limits.mean == pytest.approx(statistics.mean(apart))
    assert pair.limits.upper == pytest.approx(statistics.mean(apart) + 1.96 * statistics.stdev(apart))


def test_it_does_not_matter_who_scored_first() -> None:
    turned = pairs(("Zoë", 3.0, "Tam", 2.5), ("Tam", 3.0, "Zoë", 3.0))
    (pair,) = scoring.agreements(turned)
    assert (pair.first, pair.second, pair.ewes) == ("Tam", "Zoë", 2)
    assert pair.limits is not None and pair.limits.mean == -0.25


def test_agreement_that_cannot_be_worked_out_says_why() -> None:
    (pair,) = scoring.agreements(pairs(("Tam", 3.0, "Zoë", 3.0)))
    said = " ".join(scorers.in_words(pair))
    assert "cannot be worked out: kappa cannot be worked out because only one score occurs" in said
    assert "only one ewe was scored by both" in said


def test_no_recorded_pair_is_said_with_what_to_do(text_of) -> None:
    assert "No ewe has been scored by two people yet" in text_of(scorers.page(None))


@pytest.mark.parametrize(
    ("apart", "doubtful"),
    # by hand: Tam's mean is 0.2 to 0.4 higher on the same ewes, though on one ewe by −0.3 to 0.9. Flocks 0.1
    # or 0.4 apart may be alike; 0.5 is more than the two differ by; −0.1 is the other way round
    [(0.1, True), (0.4, True), (0.5, False), (-0.1, False)],
)
def test_a_difference_no_larger_than_the_scorers_mean_difference_could_be_theirs(apart, doubtful) -> None:
    (pair,) = scoring.agreements(pairs(*[("Tam", 3.0, "Zoë", 2.5), ("Tam", 3.0, "Zoë", 3.0)] * 30))
    limits = LimitsOfAgreement(0.3, 0.2, 0.4, -0.3, 0.9, 60)
    assert compare_scorers.within(replace(pair, limits=limits), apart) is doubtful


def test_agreement_without_a_disagreement_claims_no_range() -> None:
    (pair,) = scoring.agreements(pairs(("Tam", 2.5, "Zoë", 2.5), ("Tam", 3.0, "Zoë", 3.0)))
    said = " ".join(scorers.in_words(pair))
    # two ewes cannot show that agreement is perfect; the large-sample interval has no width there
    assert "1.00 (too few differences for a range)" in said and "between 1.00" not in said


def test_what_others_have_found_says_how_it_is_known(text_of) -> None:
    assert "Phythian 2012 (3 assessors, 141 ewes) (published)" in text_of(scorers.page(None))


def test_scorers_who_never_met_are_named(compare: comparison.Compare) -> None:
    two = replace(compare, sessions=compare.sessions.assign(scorers=["Tam", "Zoë"]))
    assert compare_scorers.sentences(two) == [
        "Tam and Zoë: not known, because they have never scored the same ewes."
    ]
    assert compare_scorers.sentences(compare)[0].startswith("All these flocks were scored by one person")
    nobody = replace(compare, sessions=compare.sessions.assign(scorers=None))
    assert compare_scorers.sentences(nobody)[0].startswith("Who scored 2 flocks was not recorded")


def test_the_standing_is_said_in_words(compare: comparison.Compare, text_of) -> None:
    said = text_of(compare_standing.tables(compare, compare.sessions))
    assert "very likely (94 %)" in said and "yes" in said
    assert "1st of 2 (1st to 2nd)" in said
    assert "8 fewer in a hundred (15 fewer to 1 fewer)" in said
    assert "not scored at this stage then" in said and "too few flocks to say" in said


def test_a_change_that_may_be_none_is_called_unclear() -> None:
    assert comparing.change(0.02, -0.03, 0.07) == "no clear change: 2 more in a hundred (3 fewer to 7 more)"


def test_a_farms_trend_is_said_season_by_season(text_of) -> None:
    rows = [
        {"season": 2026, "stage": "weaning", "thin": 30, "ewes": 100, "flock_ewes": None},
        {"season": 2025, "stage": "weaning", "thin": 10, "ewes": 100, "flock_ewes": None},
    ]
    said = text_of(farm_trend.changes(rows))
    assert "From 2025 to 2026, thin ewes: 20 more in a hundred (11 more to 29 more)." in said


def pairs(*scored: tuple[str, float, str, float]) -> pd.DataFrame:
    rows = pd.DataFrame(scored, columns=["scorer_a", "score_a", "scorer_b", "score_b"])
    return rows.assign(
        farm="F1", scored_on=pd.Timestamp("2026-08-01"), ewe=[str(n) for n in range(len(rows))]
    )
