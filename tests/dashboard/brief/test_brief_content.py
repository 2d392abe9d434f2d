from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pandas as pd
import pytest

from dashboard.brief import dates
from dashboard.brief.changes import Session, comparisons, opening, sentence
from dashboard.brief.compose import compose, deadlines, ewes_to_draw
from dashboard.brief.content import Brief
from dashboard.brief.tables import BriefError, Tables
from pipelines.settings import DaysPerScore

Make = Callable[..., Tables]


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.fixture
def brief(tables: Make) -> Brief:
    return compose(tables())


def test_the_verdict_says_how_many_must_gain_and_how_long_is_left(brief: Brief) -> None:
    # 20 Aug to 20 Oct 2026 is 61 days: 11 of August, 30 of September, 20 of October
    assert plain(brief.verdict).startswith("41 of 180 ewes scored must gain to reach 2½")
    assert "61 days left to 20 Oct 2026" in plain(brief.verdict)


def test_grazing_that_was_not_written_is_not_called_ordinary(tables: Make) -> None:
    written = tables()
    silent = replace(written, readiness=written.readiness.assign(grazing_named=False))
    said, unsaid = (compose(each) for each in (written, silent))
    assert "on ordinary grazing between 61 % and 78 %" in plain(said.outlooks[0].words)
    assert "its grazing not written down, which widens the range, between 61 %" in plain(
        unsaid.outlooks[0].words
    )
    assert {draw.grazing for draw in unsaid.draws} == {"not written"}


def test_both_sessions_are_judged_against_the_same_line(brief: Brief) -> None:
    # weaning: 6 + 30 + 30 of 175 below 2½, though the weaning band's own low is 1¾
    (said,) = brief.changed
    assert "38 % of ewes were below 2½ then (66 of 175), 23 % now (41 of 180)" in plain(said)


def test_a_change_is_said_with_its_interval() -> None:
    # 56/70 and 48/80, Newcombe's own example: 0.0524 to 0.3339 at 95 % (from memory). The same formula worked
    # with z = 1.645 on a calculator from Wilson's limits 0.711, 0.867 and 0.508, 0.685: 0.0766 to 0.3136
    now = Session(date(2026, 8, 14), "pre-tupping", ((2.0, 56), (3.0, 14)))
    then = Session(date(2026, 7, 1), "weaning", ((2.0, 48), (3.0, 32)))
    assert "more by between 8 and 31 points" in plain(sentence(now, then, 2.5, "Since"))


def test_an_interval_with_zero_in_it_is_no_clear_change() -> None:
    now = Session(date(2026, 8, 14), "pre-tupping", ((2.0, 10), (3.0, 30)))
    then = Session(date(2026, 7, 1), "weaning", ((2.0, 11), (3.0, 30)))
    said = plain(sentence(now, then, 2.5, "Since"))
    assert "no clear change" in said
    assert "The mean, 2.75, is much as it was (2.73)." in said


def test_between_two_wholly_scored_flocks_the_change_is_what_was_seen() -> None:
    # as on the farm's page: nobody was left out, so there is no sampling error; 20 of 40 less 10 of 40, and
    # means 2.75 less 2.5
    now = Session(date(2026, 8, 14), "pre-tupping", ((2.0, 10), (3.0, 30)), flock=40)
    then = Session(date(2026, 7, 1), "weaning", ((2.0, 20), (3.0, 20)), flock=40)
    said = plain(sentence(now, then, 2.5, "Since"))
    assert "fewer by 25 points. The mean is up 0.25 to 2.75." in said


def test_the_flock_of_a_session_is_that_of_its_season(tables: Make) -> None:
    found = tables()
    seasons = pd.concat([found.seasons, found.seasons.assign(season=2025, ewes=300)])
    sessions = found.sessions.assign(season=[2025, *[2026] * (len(found.sessions) - 1)])
    history = replace(found, seasons=seasons, sessions=sessions).history()
    assert [each.flock for each in history] == [300, 420]


def test_a_session_after_the_day_of_the_data_is_not_the_latest(tables: Make) -> None:
    earlier = replace(tables(), as_of=date(2026, 8, 13))
    assert [each.scored_on for each in (tables().latest(), earlier.latest()) if each] == [
        date(2026, 8, 14), date(2026, 7, 24),
    ]  # fmt: skip


def test_sessions_compared_are_the_one_before_and_last_years_of_the_same_stage() -> None:
    days = {"weaning": date(2026, 7, 1), "pre-tupping": date(2025, 8, 20), "scanning": date(2025, 1, 10)}
    earlier = [Session(day, stage, ((2.0, 10),)) for stage, day in days.items()]
    latest = Session(date(2026, 8, 14), "pre-tupping", ((2.0, 10),))
    assert [each.stage for each in comparisons(latest, earlier)] == ["weaning", "pre-tupping"]


def test_a_season_across_new_year_is_not_taken_for_two() -> None:
    # rams in on 20 January: weaned in September, scored again on 2 January of the same season
    now = Session(date(2028, 1, 2), "pre-tupping", ((2.0, 10),))
    weaning = Session(date(2027, 9, 20), "weaning", ((2.0, 10),))
    last_year = Session(date(2027, 1, 4), "pre-tupping", ((2.0, 10),))
    assert plain(opening(now, weaning)) == "Since weaning, 20 Sep 2027"
    assert plain(opening(now, last_year)) == "Against pre-tupping last season, 4 Jan 2027"


def test_a_farm_scored_long_ago_is_not_said_to_be_scored_for_the_first_time(tables: Make) -> None:
    found = tables()
    days = [date(2025, 2, 1), *found.sessions["scored_on"][1:]]
    (said,) = compose(replace(found, sessions=found.sessions.assign(scored_on=days))).changed
    assert "first session" not in said and said.startswith("No earlier session")


def test_last_useful_dates_are_worked_by_hand() -> None:
    # score 1½ to 2½ takes 52 days on best grazing: 20 Oct − 52 = 29 Aug; slowly 70: 11 Aug;
    # ordinary 75: 6 Aug; slowly 120: 22 Jun
    gain = {"best": DaysPerScore(52, 40, 70), "ordinary": DaysPerScore(75, 50, 120)}
    (line,) = dates.last_dates([(1.5, 3), (2.5, 60)], 2.5, date(2026, 10, 20), gain)
    assert (line.best, line.best_cautious) == (date(2026, 8, 29), date(2026, 8, 11))
    assert (line.ordinary, line.ordinary_cautious) == (date(2026, 8, 6), date(2026, 6, 22))


def test_the_season_has_every_date_in_order(tables: Make) -> None:
    found = {each.kind: (each.first, each.last) for each in deadlines(tables())}
    assert found["best grazing"] == (date(2026, 8, 29), date(2026, 8, 29))
    assert found["rescore"][0] == date(2026, 9, 4)
    assert found["ready by"][0] == date(2026, 10, 20)
    assert found["flush"] == (date(2026, 10, 20), date(2026, 11, 2))
    # 3 Nov 2026 + 144 = 27 Mar 2027, + 152 = 4 Apr 2027: 27 + 31 + 31 + 28 days to 1 Mar, and 26 or 34 more
    assert found["lambing"] == (date(2027, 3, 27), date(2027, 4, 4))
    assert [each.first for each in deadlines(tables())] == sorted(each.first for each in deadlines(tables()))


def test_a_farm_that_has_not_scored_is_told_to_score_eight_weeks_ahead(tables: Make) -> None:
    found = tables(scored=False)
    assert "Not scored this season" in compose(found).verdict
    assert deadlines(found)[0].kind == "score"
    assert deadlines(found)[0].first == date(2026, 8, 25)  # 20 Oct − 56 days
    assert deadlines(found)[0].why == "8 weeks ahead leave time to gain one score (common practice)"


def test_how_often_to_rescore_says_how_it_is_known(tables: Make) -> None:
    why = {each.kind: each.why for each in deadlines(tables())}
    assert why["rescore"] == "every 3 weeks while they gain (quoted)"  # Teagasc in the farming press


def test_a_farm_scored_only_after_the_rams_went_in_is_not_said_to_be_unscored(tables: Make) -> None:
    found = replace(tables(), as_of=date(2026, 11, 20))
    late = found.sessions.assign(scored_on=date(2026, 11, 10), stage="tupping")
    said = compose(replace(found, sessions=late)).verdict
    assert said == "Not scored before tupping: no days are left to make thin ewes ready."


def test_what_cannot_be_projected_says_why(tables: Make) -> None:
    brief = compose(tables(why_not="cannot be projected because there is no target"))
    assert "Readiness cannot be projected because there is no target." in brief.verdict
    assert {outlook.expected for outlook in brief.outlooks} == {None}
    assert "nan" not in repr(brief)


def test_ewes_are_listed_by_what_is_to_be_done_and_thinnest_first(tables: Make) -> None:
    found = tables(tagged=3)
    changed = found.ewes.assign(
        group="Top hill", action=["hold", "best grazing", "best grazing"], score=[1.5, 2.25, 2.0]
    )
    listed = ewes_to_draw(replace(found, ewes=changed))
    assert [(ewe.action, ewe.score) for ewe in listed] == [
        ("best grazing", 2.0), ("best grazing", 2.25), ("hold", 1.5),
    ]  # fmt: skip


def test_a_sample_of_the_flock_raises_a_question(brief: Brief) -> None:
    assert any("180 of 420 were scored" in question for question in brief.questions)
    assert any("30 places for 41 thin ewes" in question for question in brief.questions)


def test_a_farm_without_a_register_row_is_told_what_to_import(tables: Make) -> None:
    with pytest.raises(BriefError, match="import the farm register"):
        compose(replace(tables(), season=2031))


def test_a_register_row_without_rams_in_is_named(tables: Make) -> None:
    found = tables()
    with pytest.raises(BriefError, match="rams_in"):
        compose(replace(found, seasons=found.seasons.assign(rams_in=pd.NaT)))
