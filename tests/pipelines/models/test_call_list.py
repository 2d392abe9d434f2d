"""Who is called first, and the words that say why."""

import re
from datetime import date

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.models.urgency import called
from pipelines.queries import Reader
from pipelines.warehouse.snapshot import Snapshot

TODAY = pd.Timestamp("2026-08-20")
FARM = {
    "season": 2026, "stage": "pre-tupping", "scored_on": pd.Timestamp("2026-08-15"),
    "rams_in": pd.Timestamp("2026-11-05"), "ready_by": pd.Timestamp("2026-10-22"),
    "last_scored_on": pd.NaT, "ewes": 180.0, "flock_ewes": 200.0, "thin": 41.0, "thin_share_low": 0.2,
    "thin_share_high": 0.26, "chance_too_many_thin": 0.99, "days_needed_median": 56.0,
    "still_thin_share": 0.2, "still_thin_low": 0.1, "still_thin_high": 0.3, "why_not": None,
    "held_why": None, "waiting_on": pd.NaT, "waiting_ewes": None,
}  # fmt: skip
UNSCORED = {
    "scored_on": pd.NaT,
    "stage": None,
    "ewes": None,
    "days_needed_median": None,
    "still_thin_share": None,
}
CALM = {"still_thin_share": 0.02, "still_thin_high": 0.04, "chance_too_many_thin": 0.01}


def call(*farms):
    rows = pd.DataFrame([FARM | {"farm": f"F{number}"} | farm for number, farm in enumerate(farms)])
    return called(rows, TODAY, 0.10)


def reason(**farm):
    return call(farm)["reason"].item()


def test_the_reason_counts_thin_ewes_and_days():
    assert reason() == "41 of 180 thin; needs 56 days, 63 left; between 10 % and 30 % thin by 22 Oct"


def test_a_weaning_session_and_old_scores_are_said_to_be():
    said = reason(stage="weaning", scored_on=pd.Timestamp("2026-07-20"))
    assert said.startswith("41 of 180 thin at weaning 31 days ago; ")


def test_of_a_sample_the_interval_is_said_instead_of_the_count():
    said = reason(ewes=30.0, thin=5.0, thin_share_low=0.08, thin_share_high=0.31)
    assert said.startswith("sample of 30: between 8 % and 31 % thin; ")


def test_a_farm_that_was_not_scored_says_since_when_and_what_is_coming():
    rams_in = pd.Timestamp("2026-10-09")
    assert reason(**UNSCORED, rams_in=rams_in) == "never scored; rams in 9 Oct"
    since = reason(**UNSCORED, rams_in=rams_in, last_scored_on=pd.Timestamp("2026-01-14"))
    assert since == "not scored since 14 Jan 2026; rams in 9 Oct"


def test_once_the_rams_are_in_a_farm_is_not_said_to_be_unscored_if_it_was_scored_since():
    said = reason(**UNSCORED, rams_in=pd.Timestamp("2026-08-01"))
    assert said == "not scored before tupping; rams in 1 Aug"


def test_a_register_without_a_rams_in_date_is_said_to_lack_it():
    assert reason(**UNSCORED, rams_in=pd.NaT, ready_by=pd.NaT) == (
        "never scored; the register does not say when the rams go in"
    )


def test_a_flock_without_thin_ewes_needs_no_days():
    said = reason(
        thin=0.0, days_needed_median=None, still_thin_low=0.0, still_thin_high=0.0, still_thin_share=0.0,
        chance_too_many_thin=0.0,
    )  # fmt: skip
    assert said == "0 of 180 thin; nobody below target, 63 left; 0 % thin by 22 Oct"


@pytest.mark.parametrize(
    ("farm", "status"),
    [
        ({"still_thin_share": 0.11}, "act now"),
        ({"still_thin_share": 0.10, "still_thin_high": 0.11, "chance_too_many_thin": 0.1}, "watch"),
        ({"still_thin_share": 0.02, "still_thin_high": 0.10, "chance_too_many_thin": 0.5}, "watch"),
        ({"still_thin_share": 0.02, "still_thin_high": 0.10, "chance_too_many_thin": 0.49}, "on course"),
        (UNSCORED, "not scored"),
        ({"rams_in": TODAY}, "tupping begun"),
    ],
)
def test_the_status_follows_from_what_is_expected_on_the_day(farm, status):
    assert call(farm)["status"].item() == status


def test_a_farm_watched_for_its_ewes_thin_now_is_said_to_be():
    said = reason(still_thin_share=0.02, still_thin_low=0.0, still_thin_high=0.04)
    assert said.endswith("at most 4 % thin by 22 Oct; likely more than 10 % thin now")


NUMBER = st.floats(0, 1)
DAY = st.dates(date(2026, 6, 1), date(2027, 1, 31)).map(pd.Timestamp)
BAD_DATE = "cannot be projected because the rams went in on 2026-08-01, before this session (2026-08-15)"


@st.composite
def farms(draw):
    """Any farm of the call list: scored or not, projected or not, with or without scores that wait."""
    low, share, high = sorted(draw(st.tuples(NUMBER, NUMBER, NUMBER)))
    ewes = draw(st.integers(1, 900))
    rams_in = draw(st.one_of(st.just(pd.NaT), DAY))
    scored = {
        "ewes": float(ewes), "thin": float(draw(st.integers(0, ewes))), "rams_in": rams_in,
        "ready_by": rams_in - pd.Timedelta(days=14), "still_thin_low": low, "still_thin_share": share,
        "still_thin_high": high, "chance_too_many_thin": draw(NUMBER),
        "days_needed_median": draw(st.one_of(st.none(), st.floats(0.1, 200))),
        "stage": draw(st.sampled_from(["weaning", "pre-tupping", "tupping"])),
    }  # fmt: skip
    nothing = {"why_not": BAD_DATE, "still_thin_low": None, "still_thin_share": None, "still_thin_high": None}
    scored |= draw(st.sampled_from([{}, {}, nothing])) if rams_in is not pd.NaT else nothing
    waits = {"held_why": "the register gives no rams-in date"} | draw(
        st.sampled_from([{}, {"waiting_on": pd.Timestamp("2026-08-18"), "waiting_ewes": 40.0}])
    )
    return scored | draw(st.sampled_from([{}, UNSCORED])) | draw(st.sampled_from([{}, waits]))


def outlook_high(said):
    """Upper end of the share thin on the day, in whole per cent, as the reason tells it."""
    told = re.search(r"(\d+) % thin by ", said)
    return int(told[1]) if told else None


CONTRADICTS = {
    "act now": lambda said: outlook_high(said) is None or outlook_high(said) < 10 or "scored;" in said,
    "on course": lambda said: outlook_high(said) is None or outlook_high(said) > 10 or "cannot" in said,
    "watch": lambda said: (
        not (
            "cannot be projected" in said
            or (outlook_high(said) or 0) >= 10
            or "more than 10 % thin now" in said
        )
    ),
    "not scored": lambda said: not re.match("(never|not) scored", said) or " thin" in said,
    "cannot be judged": lambda said: " thin" in said or "gives no" not in said,
    "tupping begun": lambda said: "rams in" not in said or " left" in said or "never scored" in said,
}


@settings(deadline=None)
@given(farm=farms())
def test_no_status_contradicts_its_reason(farm):
    (row,) = call(farm).to_dict("records")
    assert not CONTRADICTS[row["status"]](row["reason"]), (row["status"], row["reason"])
    assert not re.search(r"\bnan\b|None|NaT|\d%", row["reason"])


def test_no_status_of_the_demo_contradicts_its_reason(demo_home):
    snapshot = Snapshot(demo_home)
    rows = Reader(snapshot).rows("select status, reason from call_list")
    snapshot.close()
    assert len(rows) > 70  # 26 farms in three seasons
    assert [row for row in rows if CONTRADICTS[row[0]](row[1])] == []


def test_the_most_urgent_comes_first():
    soon = {"ready_by": pd.Timestamp("2026-09-20")}
    farms = {
        "begun": {"rams_in": TODAY},
        "on course": CALM,
        "not scored, time left": UNSCORED | {"ready_by": pd.Timestamp("2026-10-16")},
        "watch": CALM | {"still_thin_high": 0.2},
        "watch, more thin": CALM | {"still_thin_high": 0.2, "still_thin_share": 0.05},
        "not scored, pressing": UNSCORED | {"ready_by": pd.Timestamp("2026-10-15")},
        "act, time to spare": {},
        "act, none to spare": soon,
    }
    order = [call_["name"] for call_ in call(*({"name": n} | f for n, f in farms.items())).to_dict("records")]
    assert order == [
        "act, none to spare", "act, time to spare", "not scored, pressing", "watch, more thin", "watch",
        "not scored, time left", "on course", "begun",
    ]  # fmt: skip


def test_urgency_counts_from_one_in_every_season():
    found = call({"season": 2025}, {"season": 2026}, {"season": 2026})
    assert found["urgency"].tolist() == [1, 1, 2]


def test_equal_farms_are_called_in_order_of_their_code():
    assert call({"farm": "B"}, {"farm": "A"})["farm"].tolist() == ["A", "B"]


def test_every_registered_farm_is_on_the_list_of_its_season(world):
    world.register("F1")
    world.register("F2")
    world.tally("F1", {2.0: 30, 3.0: 70}, grazing="holding")
    world.build()
    rows = world.table("call_list", "farm, status, thin, days_left")
    assert rows == [("F1", "act now", 30, 37), ("F2", "not scored", None, None)]
    assert re.match(
        r"30 of 100 thin; needs 52 days, 37 left; between \d+ % and", world.table("call_list", "reason")[0]
    )


def test_a_farm_not_scored_this_season_remembers_when_it_last_was(world):
    world.register("F1")
    world.register("F1", season=2025, weaned_on=date(2025, 7, 1), rams_in=date(2025, 10, 10))
    world.tally("F1", {3.0: 50}, scored_on=date(2026, 1, 14))
    world.build()
    assert world.table("call_list", "reason", "season = 2026") == [
        "not scored since 14 Jan 2026; rams in 10 Oct"
    ]


def test_a_session_that_cannot_be_projected_is_to_be_watched_and_says_why():
    lone = {
        "why_not": "cannot be projected because only one ewe was scored; see her",
        "still_thin_share": None,
    }
    (row,) = call(lone).to_dict("records")
    assert row["status"] == "watch" and row["reason"].endswith("because only one ewe was scored")


def test_what_allows_for_luck_is_of_the_session_listed_or_nothing(world):
    # 20 of 100 thin before the rams went in, 60 of 100 three days after: the row is of the first session
    world.register("F1", weaned_on=date(2026, 6, 1), rams_in=date(2026, 8, 10))
    for day, thin in ((8, 20), (13, 60)):
        world.tally("F1", {2.0: thin, 3.0: 100 - thin}, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    columns = "scored_on, thin, adjusted_thin_share, chance_too_many_thin"
    assert world.table("call_list", columns) == [(date(2026, 8, 8), 20, None, None)]
