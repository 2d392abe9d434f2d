"""What is tried out is worked out as the published readiness is; dates by hand."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from pipelines import queries
from pipelines.queries import Reader
from pipelines.queries.what_if import Plan, lambing, outlook

AS_REGISTERED = Plan()


@pytest.fixture
def tried(practice):
    def answer(plan, reader=practice, farm="F1", published=None):
        registered = queries.farm_seasons(reader, farm)
        row = registered[registered["season"] == 2026].iloc[0].to_dict()
        cells = queries.readiness_cells(reader, farm, 2026)
        return outlook(cells, row, plan, lambda: queries.terms(reader), published)

    return answer


def whole(found):
    return found.readiness[found.readiness["group"] == "ALL"].iloc[0]


def test_without_changes_the_answer_is_the_published_one(tried, practice):
    published = queries.farm_readiness(practice, "F1", 2026).set_index("group")
    found = tried(AS_REGISTERED).readiness.set_index("group")
    for name in ("ready_share", "ready_share_low", "on_best_share", "still_thin_high", "ewes_unlikely"):
        assert found[name].astype(float).to_dict() == pytest.approx(published[name].astype(float).to_dict())


@pytest.mark.parametrize("plan", [Plan(), Plan(places=20), Plan(grazing={"Z": "best"})])
def test_published_figures_serve_where_dates_and_grazing_stay(tried, practice, plan):
    published = queries.farm_readiness(practice, "F1", 2026)
    served, worked_out = tried(plan, published=published), tried(plan)
    assert served.readiness is published
    chances = ["group", "score", "ewes", "grazing", "chance_ready", "chance_on_best", "target_low"]
    pd.testing.assert_frame_equal(served.cells[chances], worked_out.cells[chances], check_dtype=False)
    if plan.places:
        assert served.allocation.moved.tolist() == worked_out.allocation.moved.tolist()
    assert tried(Plan(flush_days=3), published=published).readiness is not published


def test_dates_move_with_the_rams_and_the_flushing(tried):
    found = tried(Plan(rams_in=date(2026, 11, 7), flush_days=21))
    # 21 days before 7 November is 17 October; 147, 144 and 152 days after it in the calendar of 2027
    assert found.ready_by == date(2026, 10, 17)
    assert (found.lambing.expected, found.lambing.earliest, found.lambing.latest) == (
        date(2027, 4, 3), date(2027, 3, 31), date(2027, 4, 8)
    )  # fmt: skip


def test_lambing_counts_the_leap_day():
    assert lambing(date(2027, 10, 10)).expected == date(2028, 3, 5)  # 2028 has a 29 February


def test_four_more_weeks_leave_fewer_thin(tried):
    now, later = (whole(tried(plan)) for plan in (AS_REGISTERED, Plan(rams_in=date(2026, 11, 7))))
    assert later["still_thin_share"] < now["still_thin_share"]
    assert later["days_left"] == now["days_left"] + 28


def test_a_group_on_better_grazing_is_less_thin_and_on_hard_going_thinner(tried):
    thin = [
        whole(tried(Plan(grazing={"A": grazing})))["still_thin_share"]
        for grazing in ("best", "ordinary", "hard")
    ]
    assert thin == sorted(thin) and len(set(thin)) == 3


def test_to_say_that_unwritten_grazing_is_ordinary_is_a_change(tried, practice):
    published = queries.farm_readiness(practice, "F1", 2026)
    assert not published["grazing_named"].any() and set(published["grazing"]) == {"ordinary"}
    found = tried(Plan(grazing={"A": "ordinary"}), published=published)
    assert whole(found)["ready_share"] != whole(tried(AS_REGISTERED))["ready_share"]


def test_a_group_that_is_not_there_changes_nothing(tried):
    found, plain = (whole(tried(plan)) for plan in (Plan(grazing={"Z": "best"}), AS_REGISTERED))
    assert found["ready_share"] == plain["ready_share"]


def test_rams_in_before_the_session_say_why_nothing_is_projected(tried):
    found = tried(Plan(rams_in=date(2026, 8, 1)))
    assert whole(found)["why_not"] == (
        "cannot be projected because the rams went in on 2026-08-01, before this session (2026-08-10)"
    )
    assert pd.isna(whole(found)["ready_share"]) and found.allocation is None


def test_places_go_where_they_make_most_ewes_ready(tried):
    found = tried(Plan(places=20)).allocation
    assert found is not None and found.moved.sum() <= 20 and found.ready > found.without
    none = tried(Plan(places=0)).allocation
    assert none.moved.sum() == 0 and none.ready == pytest.approx(none.without)
    # no other way of filling the places does better: all ways of moving whole cells, tried one by one
    cells = tried(Plan(places=20)).cells
    gain = (cells["chance_on_best"] - cells["chance_ready"]).to_numpy()
    ewes = np.rint(cells["ewes"].to_numpy() * 100 / cells["ewes"].sum())  # 100 registered
    best = max(
        sum(gain[i] * ewes[i] for i in range(len(gain)) if chosen >> i & 1)
        for chosen in range(2 ** len(gain))
        if sum(ewes[i] for i in range(len(gain)) if chosen >> i & 1) <= 20
    )
    assert found.ready - found.without >= best - 1e-9


def test_without_a_known_number_of_places_nothing_is_shared_out(tried):
    assert tried(AS_REGISTERED).allocation is None


def test_nothing_is_tried_out_on_another_farm(published, tried):
    assert tried(AS_REGISTERED, farm="F2") is not None
    mine = Reader(published, {"F2"})
    assert queries.readiness_cells(mine, "F1", 2026).empty and queries.farm_growth(mine, "F1", 2026).empty
