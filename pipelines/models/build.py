"""Builds every published table from the warehouse's rows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, nullcontext
from datetime import date

import pandas as pd

from pipelines.models import growth, terms
from pipelines.models.actions import decided
from pipelines.models.farm_growth import growth_figures
from pipelines.models.figures import session_figures, standing_figures
from pipelines.models.intervals import observed
from pipelines.models.past import PAST_GROUP, predicted
from pipelines.models.ready import GROUP, SESSION, readiness_figures
from pipelines.models.tables import KEYS, Rebuilt
from pipelines.models.urgency import called
from pipelines.models.workshop import Connection, Workshop, opened, sql
from pipelines.settings import Settings

FARM_CHECKS = (
    "held_back", "ewe_repeated", "score_jump", "above_flock_size", "session_in_two_files",
    "session_sent_twice", "register_row_repeated", "stage_differs", "second_score_alone",
)  # fmt: skip
PRACTICE_CHECKS = ("whole_scores_only", "scorer_elsewhere")


ALL_DAYS = "select farm, cast('0001-01-01' as date) as first_day from affected_farm"
NONE_BEFORE = """
    select
        farm, '' as ewe, first_day as scored_on, 0e0 as score, 0e0 as target_low, 0 as days_before
    from farm_part where false
"""
FOUND = "select * from temp.{check}"
FROM_FIRST_DAY = """
    select found.* from ({found}) as found
    inner join farm_part as part on part.farm = found.farm and part.first_day <= found.scored_on
"""


Together = Callable[[], AbstractContextManager[None]]


def build(
    connection: Connection,
    settings: Settings,
    farms: Mapping[str, date | None] | None = None,
    together: Together = nullcontext,
) -> Rebuilt:
    """Write all published tables into `marts`: an attached database, or a schema, that the caller has made.

    With `farms`, the farms whose files, register or retags changed (also those of a file withdrawn), only
    their rows are rebuilt, and what compares them with others in their seasons. A farm's value is the first
    day of the sessions that were added, where nothing else of it changed: then the seasons before are left
    as they are. When nothing was built before, or the adviser's settings or the day are no longer the same,
    everything is rebuilt all the same.
    Begins no transaction: `together` is entered around all that changes what was published. What comes before
    is better outside one, since DuckDB keeps what is dropped until its end. Returns what was replaced. The
    rows of a table stand in the order of its key (`KEYS`), but for `ewe_history` and after a build of some
    farms.
    """
    if not can_build_upon(connection, settings):
        farms = None
    with opened(connection, farms) as shop:
        _lay_out(shop, settings)
        enough = _enough_is_built(shop)
        if enough and _growth(shop, settings):
            with together():
                _write(shop, settings)
            return shop.rebuilt()
    # more of these farms has changed than the days of what came in, or what was learned of the practice has,
    # and with it every farm
    return build(connection, settings, None if enough else dict.fromkeys(farms or ()), together)


def _write(shop: Workshop, settings: Settings) -> None:
    """Everything that is published."""
    # a build cut short must not be built upon, where the caller lets its tables stand
    shop.connection.execute("delete from marts.built_with")
    shop.keep("marts.practice_growth", "select * from known_variance", ("season",), None)
    shop.publish("ewe_history")  # first, as it takes the most memory while it is written
    _waiting(shop)
    _farm_figures(shop, settings)
    _begin_standings(shop, settings)
    _farm_tables(shop)
    _problems(shop)
    _comparisons(shop, settings)
    shop.publish("about")
    shop.connection.execute("insert into marts.built_with values (?)", [terms.fingerprint(settings)])


def can_build_upon(connection: Connection, settings: Settings) -> bool:
    """Whether the tables in `marts` were built whole, on the same day and with the same settings and SQL."""
    connection.execute("create table if not exists marts.built_with (fingerprint varchar)")
    built = connection.execute("select fingerprint from marts.built_with").fetchall()
    return bool(built == [(terms.fingerprint(settings),)])


def _lay_out(shop: Workshop, settings: Settings) -> None:
    """Settings, accepted rows of the farms concerned, and their sessions as histograms."""
    shop.put("terms", terms.terms(settings))
    shop.put("band", terms.bands(settings))
    shop.put("farm_band", terms.farm_bands(settings))
    shop.put("farm_grazing", terms.farm_grazing(settings))
    shop.stage("counted_file", "register_line")
    _part_off(shop)
    shop.stage(
        "identity", "score_line", "session", "second_line", "group_scorer", "tupping_session",
        "group_grazing", "session_step", "session_pair", "session_band",
    )  # fmt: skip
    shop.stage_in_turn(
        "ewe_line", "ewe_twice", "lost_line", "ewe_score", "ewe_record", "ewe_moved", "session_cell",
        "session_count", "latest_ewe", "thin_run", "ewe_change",
    )  # fmt: skip
    shop.stage("growth_change", "past_cell", "waiting_line")


def _waiting(shop: Workshop) -> None:
    """What is held back, and why."""
    shop.keep("marts.waiting_file", sql("staging", "waiting_file"), ("farm", "scored_on", "file_id"), "day")
    shop.stage("waiting_session", "refused_register", "held_reason")


def _part_off(shop: Workshop) -> None:
    """The days of each farm that are built anew, and what there is of its ewes before them."""
    if shop.whole:
        shop.make("farm_part", ALL_DAYS)
        shop.make("ewe_before", NONE_BEFORE)
    else:
        shop.stage("farm_part", "ewe_before")


def _enough_is_built(shop: Workshop) -> bool:
    """Whether what changed lies among the days that are built anew."""
    if not shop.whole:
        shop.stage("cut_farm")
    return shop.whole or shop.take("cut_farm", "farm").empty


def _growth(shop: Workshop, settings: Settings) -> bool:
    """What farms' sessions show of gain, and what is learned from it.

    False, and nothing is learned, when a build of some farms has moved what is learned of all.
    """
    changes = shop.take("growth_change", "farm", "season", "scored_on", "group")
    shop.put_frame("growth_figure", observed(changes, settings))
    shop.make("practice_interval", shop.of_all_farms("growth_interval"))
    practice = shop.take("practice_interval", *KEYS["growth_interval"])
    shop.make("past_season", "select distinct season from past_cell")
    past = shop.take("past_season", "season")
    held = {} if shop.whole else _held_variances(shop)
    known = _variances(shop, practice, {*practice["season"], *past["season"], growth.NOW}, held, settings)
    if any(known[season] != each for season, each in held.items()):
        return False
    _hold_variances(shop, known)
    farms = shop.take("affected_farm", "farm")["farm"]
    # a farm learns from its own: to look for it among all takes longer the older the practice is
    own = practice if shop.whole else practice[practice["farm"].isin({*farms})]
    shop.put_frames(_learned(shop, own, known[growth.NOW], settings))
    cells = shop.take_in_turn("past_cell", *PAST_GROUP, "score")
    shop.begin("backtest_figure", _predicted, cells, own, known, settings)
    return True


def _predicted(
    cells: pd.DataFrame, practice: pd.DataFrame, known: dict[int, growth.Known], settings: Settings
) -> pd.DataFrame:
    return predicted(cells, practice[practice["farm"].isin(cells["farm"].unique())], known, settings)


def _learned(
    shop: Workshop, practice: pd.DataFrame, known: growth.Known, settings: Settings
) -> Iterator[Mapping[str, pd.DataFrame]]:
    # each session is set against all intervals of its farm, which has the more the longer it is followed
    for sessions in shop.take_in_turn("tupping_session", *SESSION, weight=20):
        found = growth.learned(sessions, practice, [known] * len(sessions), settings)
        yield {"farm_learned": found, "farm_growth_figure": growth_figures(found, settings)}


def _variances(
    shop: Workshop,
    practice: pd.DataFrame,
    asked: set[int],
    held: dict[int, growth.Known],
    settings: Settings,
) -> dict[int, growth.Known]:
    """Practice variances as known before each season: those held, where no interval before it changed."""
    after = -1 if shop.whole else _first_season_changed(shop)
    unsure = {season for season in asked | set(held) if season not in held or season > after}
    return held | (growth.settled(practice, unsure, settings) if unsure else {})


def _first_season_changed(shop: Workshop) -> int:
    """The first season of which intervals of gain changed; `NOW` where all are as they were."""
    shop.make("changed_growth", shop.changed_seasons("growth_interval"))
    return min(map(int, shop.take("changed_growth", "season")["season"]), default=growth.NOW)


def _held_variances(shop: Workshop) -> dict[int, growth.Known]:
    held = shop.connection.execute("select * from marts.practice_growth").fetchall()
    return {season: growth.Known.of(figures) for season, *figures in held}


def _hold_variances(shop: Workshop, known: dict[int, growth.Known]) -> None:
    rows = [(season, *each.figures()) for season, each in sorted(known.items())]
    shop.put_frame("known_variance", pd.DataFrame(rows, columns=["season", *growth.FIGURES]))


def _farm_figures(shop: Workshop, settings: Settings) -> None:
    """What is worked out for each farm alone, and the seasons that it changes."""
    counts = shop.take_in_turn("session_count", "farm", "scored_on", "group")
    shop.put_frames({"session_figure": session_figures(each)} for each in counts)
    shop.stage("tupping_cell")
    shop.put_frames(_ready(shop, settings))
    shop.stage("ewe_case")
    cases = shop.take_in_turn("ewe_case", "farm", "scored_on", "group", "score", "thin_sessions")
    shop.put_frames({"ewe_decision": decided(each, settings)} for each in cases)
    _note_seasons(shop)


def _ready(shop: Workshop, settings: Settings) -> Iterator[Mapping[str, pd.DataFrame]]:
    for cells in shop.take_in_turn("tupping_cell", *GROUP, "score"):
        ready, chances = readiness_figures(cells, settings)
        yield {"readiness_figure": ready, "cell_figure": chances}


def _farm_tables(shop: Workshop) -> None:
    """Tables in which every row is about one farm alone."""
    shop.publish(
        "farm_season", "score_distribution", "growth_interval", "farm_growth", "readiness", "readiness_cell",
        "ewe_action", "scorer_pair", "file_farm", "held_back", "held_back_score",
    )  # fmt: skip
    shop.finish("backtest_figure")
    shop.publish("backtest")


def _note_seasons(shop: Workshop) -> None:
    """The seasons to compare anew: every one, or from the first in which a farm concerned has changed on.

    Later seasons too, because a farm that is not scored remembers when it last was.
    """
    if shop.whole:
        seasons = "select season from register_line union select season from held_reason"
        shop.make("affected_season", seasons)
    else:
        changed = shop.changed_seasons(
            "farm_season", "session_summary", "growth_interval", "readiness", "held_back", "held_back_score"
        )
        shop.make("changed_season", changed)
        shop.stage("affected_season")


def _problems(shop: Workshop) -> None:
    """Rows held back and rows to look at again, beside the problems that reading the files has found."""
    shop.stage("session_repeated")
    for check in FARM_CHECKS:
        shop.make(check, sql("checks", check))
    found = FROM_FIRST_DAY.format(
        found=" union all ".join(FOUND.format(check=check) for check in FARM_CHECKS)
    )
    shop.keep("marts.farm_problem", found, ("farm", "file", "line", "code"), "day")
    scorers = sql("staging", "session_scorer")
    shop.keep("marts.session_scorer", scorers, ("farm", "scored_on", "scorer"), "day")
    for check in PRACTICE_CHECKS:
        shop.make(check, sql("checks", check))
    if shop.whole:
        shop.make("affected_file", "select distinct file from source_file")
    else:
        shop.stage("affected_file")
    shop.publish("import_problem", "import_file")


def _begin_standings(shop: Workshop, settings: Settings) -> None:
    shop.publish("session_summary")
    shop.stage("standing_session")
    sessions = shop.take("standing_session", "season", "stage", "system", "farm")
    shop.begin("standing_figure", standing_figures, [sessions], settings.thin_limit)


def _comparisons(shop: Workshop, settings: Settings) -> None:
    """Tables that set farms of a season beside one another."""
    shop.finish("standing_figure")
    shop.publish("farm_standing")
    shop.stage("call")
    farms = shop.take("call", "season", "farm")
    shop.put_frame("call_figure", called(farms, pd.Timestamp(settings.today()), settings.thin_limit))
    shop.publish("call_list")
