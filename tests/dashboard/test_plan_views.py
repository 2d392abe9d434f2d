"""What a farm's page says of plans, best grazing and dates, and the pages on the working itself."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from dash import html
from dash.development.base_component import Component

from dashboard import data
from dashboard.data import FarmPage, Past
from dashboard.views import (
    backtest,
    farm,
    farm_best_grazing,
    farm_ewes,
    farm_last_dates,
    farm_readiness,
    farm_unwritten,
    farm_what_if,
    how,
)
from dashboard.views.state import FarmState
from pipelines.queries import Reader
from pipelines.readiness.allocation import Allocation
from pipelines.readiness.backtest import Report
from pipelines.warehouse.snapshot import Snapshot

Text = Callable[[object], str]
Parts = Callable[[object], list[Component]]
AS_IT_STANDS = FarmState()
TRIED = FarmState(season=2026, rams=date(2026, 11, 12), places=20, grazing=(("Older ewes", "best"),))


@pytest.fixture(scope="module")
def practice(demo_home: Path) -> Iterator[Reader]:
    snapshot = Snapshot(demo_home)
    yield Reader(snapshot)
    snapshot.close()


@pytest.fixture
def opened(practice: Reader) -> Callable[..., FarmPage]:
    def page(state: FarmState = AS_IT_STANDS, code: str = "QUIL01") -> FarmPage:
        found = data.farm(practice, code, state)
        assert found is not None
        return found

    return page


def test_a_link_holds_what_is_tried_and_opens_it_again() -> None:
    query = {"season": "2026", "rams": "2026-11-12", "places": "20", "on.Older ewes": "best"}
    assert FarmState.from_query(query) == TRIED
    assert TRIED.search() == "?season=2026&rams=2026-11-12&places=20&on.Older+ewes=best"


@pytest.mark.parametrize(
    "query",
    [{"rams": "12 November"}, {"rams": "9999-01-01"}, {"flush": "-3"}, {"flush": "61"}, {"on.A": "lush"}],
)
def test_what_is_not_understood_tries_nothing(query: dict[str, str]) -> None:
    assert not FarmState.from_query(query).tries()


def test_what_is_tried_is_set_beside_things_as_they_stand(
    opened: Callable[..., FarmPage], text_of: Text
) -> None:
    stands, tried = opened(), opened(TRIED)
    said = text_of(farm_what_if.section("QUIL01", TRIED, tried))
    # 12 November less the usual 14 days; 147, 144 and 152 days on
    assert (
        "Rams in 12 Nov 2026, ready by 29 Oct 2026; lambing from about 8 Apr 2027 (5 Apr to 13 Apr)" in said
    )
    rows = farm_what_if.compared(tried).set_index("group")
    published = stands.readiness.set_index("group")["ready_share"]
    assert rows["as_it_stands"].to_dict() == pytest.approx(published[rows.index].to_dict())
    assert rows.loc["ALL", "share"] != rows.loc["ALL", "as_it_stands"]


def test_without_anything_tried_no_second_picture_is_drawn(
    opened: Callable[..., FarmPage], parts_of: Parts
) -> None:
    parts = parts_of(farm_what_if.section("QUIL01", FarmState(), opened()))
    assert not [part for part in parts if isinstance(part, html.Figure)]


def test_rams_before_the_session_say_why_and_never_show_a_blank(
    opened: Callable[..., FarmPage], text_of: Text
) -> None:
    state = FarmState(season=2026, rams=date(2026, 8, 1))
    said = text_of(farm.page("QUIL01", state, opened(state)))
    assert "Cannot be projected because the rams went in on 2026-08-01, before this session" in said
    assert not {"nan", "NaN", "None", "NaT", "<NA>"} & set(said.split())


def test_a_season_without_a_day_for_the_rams_says_so(farm_page: FarmPage, text_of: Text) -> None:
    unknown = replace(farm_page, register=farm_page.register.assign(rams_in=None))
    said = text_of(farm.page("F1", FarmState(), unknown))
    assert "Cannot be projected because the register has no rams_in date for this season." in said


def test_best_grazing_is_shared_out_in_words(opened: Callable[..., FarmPage], text_of: Text) -> None:
    page = opened()
    assert page.planned is not None and page.planned.allocation is not None
    said = text_of(farm_best_grazing.section("QUIL01", FarmState(), page))
    assert "Best grazing has 40 places." in said and "Ten more places would" in said
    assert "Change feed gradually" in said
    assert page.planned.allocation.moved.sum() <= 40


@pytest.mark.parametrize(
    ("known", "words"),
    [
        ((0.5, 0.354, 0.5, 0), "50 % are taken to go on gaining (between 0 % and 100 %)"),
        ((0.2, 0.1, 0.3, 4), "20 % are taken to go on gaining (between 4 % and 36 %), the others to be held"),
        ((0.2, 0.1, 0.3, 4), "came to 30 %, weighed with what 4 intervals of this farm’s own showed"),
        ((0.3, 0.2, 0.3, 0), "no two sessions of this farm show its own"),
        ((0.0, 0.0, 0.0, 4), "all are held: so it is set in settings.toml"),
        ((1.0, 0.0, 1.0, 4), "none is held: so it is set in settings.toml"),
    ],
)
def test_the_farm_page_says_what_was_learned_of_holding(
    opened: Callable[..., FarmPage], text_of: Text, known: tuple[float, float, float, int], words: str
) -> None:
    names = ("going_on", "going_on_sd", "practice_going_on", "intervals")
    page = opened()
    growth = page.growth.assign(**dict(zip(names, known, strict=True)))
    said = text_of(farm_readiness.section("F1", FarmState(), replace(page, growth=growth)))
    assert words in said.replace("\u00a0", " ")


PACES = ("early_pace", "early_pace_low", "early_pace_high", "late_pace", "late_pace_low", "late_pace_high",
         "practice_early_pace", "practice_late_pace", "intervals")  # fmt: skip


@pytest.mark.parametrize(
    ("scored_on", "known", "words"),
    [
        (date(2026, 7, 1), (0.1, -0.2, 0.4, 0.8, 0.6, 1.0, 0.1, 0.9, 3),
         "up to 15 Aug, 8 weeks before the rams, 10 % (at most 40 %); after 15 Aug, 80 % (at least 60 %)."),
        (date(2026, 8, 20), (0.1, -0.2, 0.4, 0.8, 0.6, 0.9, 0.1, 0.9, 3),
         "usual rate on ordinary grazing: after 15 Aug, 80 % (between 60 % and 90 %)."),
        (date(2026, 7, 1), (-0.1, -0.2, -0.05, 0.8, 0.6, 0.9, -0.1, 0.9, 0),
         "up to 15 Aug, 8 weeks before the rams, none; after 15 Aug"),
        (date(2026, 7, 1), (0.1, 0, 0.4, 0.8, 0.6, 0.9, 0.1, 0.9, 3),
         "came to 10 % and 90 %, and this is weighed with what 3 intervals of this farm’s own showed"),
        (date(2026, 7, 1), (0.1, 0, 0.4, 0.8, 0.6, 0.9, 0.1, 0.9, 0), "no two sessions of this farm show"),
    ],
)  # fmt: skip
def test_the_farm_page_says_how_unwritten_grazing_is_taken(
    farm_page: FarmPage, text_of: Text, scored_on: date, known: tuple[float, ...], words: str
) -> None:
    days = {"scored_on": scored_on, "rams_in": date(2026, 10, 10), "ready_by": date(2026, 9, 26)}
    rows = farm_page.readiness.assign(grazing_named=False, **days)
    growth = pd.DataFrame([{"grazing": "not stated", **dict(zip(PACES, known, strict=True))}])
    page = replace(farm_page, readiness=rows, growth=growth)
    said = text_of(farm_unwritten.said(page)).replace("\u00a0", " ")
    assert words in said and "Write it down" in said and "the range narrows" in said


def test_where_all_grazing_is_written_nothing_is_said_of_it(farm_page: FarmPage) -> None:
    growth = pd.DataFrame([{"grazing": "not stated"}])
    assert farm_unwritten.said(replace(farm_page, growth=growth)) == []


def test_grazing_that_was_not_written_may_be_named_under_what_if(
    opened: Callable[..., FarmPage], text_of: Text
) -> None:
    said = text_of(farm_what_if.section("UNDM02", FarmState(), opened(code="UNDM02")))
    assert "Not written down" in said and "Ordinary" in said
    assert "The grazing was not written down, so the ewes may stand still or gain." in text_of(
        farm_readiness.section("UNDM02", FarmState(), opened(code="UNDM02"))
    )


def test_what_ten_more_places_are_worth() -> None:
    def allocation(more: float) -> Allocation:
        return Allocation(pd.Series([1]).to_numpy(), 10.0, 5.0, more, (), True)

    assert (
        farm_best_grazing.worth(allocation(2.34), 40, 40)
        == "Ten more places would make about 2.3 more ewes ready."
    )
    assert "hardly make another" in farm_best_grazing.worth(allocation(0.2), 40, 40)
    assert "3 places would stand empty" in farm_best_grazing.worth(allocation(0.0), 40, 37)


def test_last_dates_count_back_from_the_day_to_be_ready(opened: Callable[..., FarmPage]) -> None:
    page = opened()
    rows = farm_last_dates.table(page)
    assert set(rows["grazing"]) == {"best", "ordinary"}
    assert page.planned is not None
    row = rows[(rows["grazing"] == "best") & (rows["score"] == 2.5)].iloc[0]
    days = page.growth.set_index("grazing").loc["best", "learned_median"]
    left = (page.planned.ready_by - row["usual"]).days
    assert left - 1 < 0.5 * days <= left  # half a score short of 3
    assert row["slow"] < row["usual"] < row["fast"]


def test_ewes_are_told_by_when_to_be_scored_again_and_the_long_thin_are_marked(
    opened: Callable[..., FarmPage], ewes: pd.DataFrame, text_of: Callable[..., str]
) -> None:
    again = ewes.head(1).assign(
        action="rescore", rescore_by=date(2026, 9, 10), thin_sessions=3, long_thin=True, chance_on_best=0.9
    )
    said = text_of(farm_ewes.section("F1", FarmState(), replace(opened(), ewes=again)))
    assert "Rescore by 10 Sep" in said and "90 %" in said
    assert "▲ 1 ewe thin 3 sessions running" in said


def test_no_ewe_of_the_demo_has_an_action_that_contradicts_her_chance(practice: Reader) -> None:
    rows = practice.frame(
        "select action, chance_ready, greatest(chance_ready, chance_on_best) as better from ewe_action"
    )
    assert len(rows) > 100
    assert rows.loc[rows["action"] == "unlikely in time", "better"].max() < 0.5
    assert rows.loc[rows["action"] == "hold", "chance_ready"].min() >= 0.5


def test_how_it_is_worked_out_shows_every_source_with_how_it_is_known(text_of: Text) -> None:
    said = text_of(how.page())
    for words in (
        "Kelley",
        "Phythian",
        "from memory",
        "published",
        "common practice",
        "they do not diagnose",
    ):
        assert words in said


def report(**changes: object) -> Report:
    usual = Report(100, 0.05, 0.0, 0.04, (0.5, 0.8, 0.9), (10,) * 10)
    return replace(usual, **changes)


@pytest.mark.parametrize(
    ("mine", "words"),
    [
        ({"bias": 0.12}, "promised too much: it expected 12 points more ready"),
        ({"bias": -0.08}, "promised too little: it expected 8 points fewer ready"),
        ({"covered": (0.2, 0.4, 0.52)}, "52 % held: they were too narrow"),
        ({"covered": (0.5, 0.8, 0.9)}, "90 % held, about as promised"),
        ({"crps": 0.2}, "“nothing changes”) came nearer than this working"),
        ({"predictions": 7}, "7 sessions is few"),
    ],
)
def test_the_verdict_says_what_the_figures_say(mine: dict[str, object], words: str) -> None:
    rivals = {"nothing changes": report(crps=0.1), "one score in 45 days": report(crps=0.3)}
    past = Past(date(2026, 9, 7), pd.DataFrame(), {"this working": report(**mine), **rivals})
    assert words in " ".join(backtest.verdict(past)).replace("\u00a0", " ")


def test_the_page_tells_of_this_practice_and_of_the_worlds_that_break_the_assumptions(
    practice: Reader, text_of: Text
) -> None:
    said = text_of(backtest.page(data.past(practice)))
    assert "sessions of past and present seasons" in said
    assert "A world where scorers read 0.15 higher each session 90 % 67 %" in said


def test_errors_are_told_for_each_horizon_and_few_sessions_are_said_to_be_few(
    practice: Reader, text_of: Text
) -> None:
    past = data.past(practice)
    few = {"this working": report(predictions=7, mean_absolute_error=0.2)}
    others = ("nothing changes", "one score in 45 days")
    few |= dict.fromkeys(others, report(mean_absolute_error=0.31))
    shown = replace(past, horizons={("weaning", "tupping"): few, ("pre-tupping", "tupping"): {}})
    said = text_of(backtest.page(shown)).replace("\u00a0", " ")
    assert "Weaning to tupping 7, few: chance plays a large part 20 points 31 points 31 points 90 %" in said
    assert "Pre-tupping to tupping none yet" in said


def test_with_no_pair_of_sessions_the_page_says_what_it_takes(text_of: Text) -> None:
    said = text_of(backtest.page(Past(None, pd.DataFrame(), {})))
    assert "No past projection can be checked yet." in said
    assert "A world with everything as assumed" in said
