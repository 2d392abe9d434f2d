"""From published tables to the words of a visit brief; pure."""

from __future__ import annotations

from collections.abc import Sequence

from dashboard.brief import advice, changes, dates, words
from dashboard.brief.changes import Session
from dashboard.brief.content import HOLD, Brief, Deadline, Ewe, GroupScores, LastDate, Masthead
from dashboard.brief.tables import WHOLE, Row, Tables, cannot, rows
from pipelines import reference
from pipelines.settings import System

ACTIONS = ("best grazing", "rescore", "score again", "unlikely in time", "over", "hard going", HOLD)


def compose(tables: Tables, tried: str = "") -> Brief:
    """One farm's brief, with what was `tried` out in words (see `what_if`).

    Raises BriefError where the register lacks the farm's season or its rams_in.
    """
    latest = tables.latest()
    groups = tables.groups(latest) if latest else ()
    thin_dates = last_dates(tables)
    ewes = ewes_to_draw(tables)
    return Brief(
        masthead=_masthead(tables),
        verdict=_verdict(tables, groups, thin_dates),
        changed=_changed(tables, latest, groups),
        thin=_who_is_thin(tables, groups),
        session=_session(tables, latest),
        scores=groups,
        deadlines=deadlines(tables),
        outlooks=advice.outlooks(tables),
        draws=advice.draws(tables, latest),
        last_dates=thin_dates,
        ready_by=tables.dates().ready_by,
        ewes=ewes,
        questions=advice.questions(tables, latest, groups, ewes),
        cautions=reference.cautions("scores", "feeding", "health", "change"),
        sources=advice.sources(tables),
        tried=tried,
    )


def deadlines(tables: Tables) -> tuple[Deadline, ...]:
    """The farm's dates in the season, in order; also what the calendar is made of."""
    latest = tables.latest()
    rescores = {words.as_date(day) for day in tables.ewes["rescore_by"].unique()} - {None}
    scored_on = latest.scored_on if latest else None
    due = dates.next_of([day for day in rescores if day], tables.as_of)
    return dates.deadlines(tables.dates(), tables.as_of, scored_on, last_dates(tables), due)


def last_dates(tables: Tables) -> tuple[LastDate, ...]:
    """Last useful dates of the latest session's scores below the tupping band of the farm."""
    whole = _readiness(tables, WHOLE)
    latest = tables.latest()
    if whole is None or latest is None or words.missing(whole["target_low"]):
        return ()
    low = float(whole["target_low"])
    return dates.last_dates(latest.cells, low, tables.dates().ready_by, tables.gain)


def ewes_to_draw(tables: Tables) -> tuple[Ewe, ...]:
    """The identified ewes with an action, in the order of ACTIONS, then by group, thinnest first."""
    found = [_ewe(row) for row in rows(tables.ewes)]
    return tuple(sorted(found, key=lambda ewe: (_urgency(ewe.action), ewe.group, ewe.score, ewe.ewe)))


def _urgency(action: str) -> tuple[int, str]:
    return (ACTIONS.index(action) if action in ACTIONS else len(ACTIONS), action)


def _ewe(row: Row) -> Ewe:
    return Ewe(
        group=words.text(row["group"]),
        ewe=words.text(row["ewe"]),
        score=float(row["score"]),
        days_needed=words.number(row["days_needed"]),
        chance=words.number(row["chance_ready"]),
        action=words.text(row["action"]),
        rescore_by=words.as_date(row.get("rescore_by")),
        thin_sessions=int(words.number(row.get("thin_sessions")) or 0),
    )


def _readiness(tables: Tables, group: str) -> Row | None:
    return next((row for row in rows(tables.readiness) if row["group"] == group), None)


def _masthead(tables: Tables) -> Masthead:
    row, fixed = tables.register(), tables.dates()
    weaned_on = words.as_date(row.get("weaned_on"))
    system: System = row["system"]
    facts = [
        f"{system} flock of {_flock(tables)}",
        *([f"weaned {words.day(weaned_on)}"] if weaned_on else []),
        f"rams in {words.day(fixed.rams_in)}",
        *([words.text(row.get("discussion_group"))] if words.text(row.get("discussion_group")) else []),
        *([f"contact: {words.text(row.get('contact'))}"] if words.text(row.get("contact")) else []),
    ]
    name = words.text(row.get("name")) or tables.farm
    return Masthead(tables.farm, name, tables.season, system, " · ".join(facts), tables.as_of)


def _verdict(tables: Tables, groups: Sequence[GroupScores], thin: Sequence[LastDate]) -> str:
    fixed = tables.dates()
    left = (fixed.ready_by - tables.as_of).days
    time = (
        f"{words.count(left, 'day')} left to {words.day(fixed.ready_by)}" if left > 0 else "no days are left"
    )
    whole = _readiness(tables, WHOLE)
    if not groups and len(tables.held_back):
        return f"What was scored this season {cannot(tables.held_back)} {time.capitalize()}."
    if not groups and left <= 0:
        return f"Not scored before tupping: {time} to make thin ewes ready."
    if not groups:
        return f"Not scored this season: {time}, when the ewes should be ready. Score them first."
    if whole is None or not words.missing(whole.get("why_not")):
        reason = (
            words.text(whole.get("why_not")) if whole else "cannot be projected: import the session again"
        )
        return f"{_thin_of(groups[0])} Readiness {reason}."
    to_gain, lost = int(whole["ewes_to_gain"]), int(whole["ewes_unlikely"])
    line = words.score(float(whole["target_low"]))
    if not to_gain:
        return f"No ewe is below {line}, the line for tupping. {time.capitalize()}."
    return (
        f"{to_gain:,} of {words.count(int(whole['ewes']), 'ewe')} scored must gain to reach {line}, "
        f"the line for tupping; {time}. {_time_lost(lost)}"
    )


def _time_lost(lost: int) -> str:
    if not lost:
        return "On best grazing from today all of them are likelier than not to be ready."
    return f"{lost:,} of them {words.are(lost)} unlikely to be ready even on best grazing from today."


def _thin_of(group: GroupScores) -> str:
    share = group.thin / group.ewes
    return (
        f"{group.thin:,} of {words.count(group.ewes, 'ewe')} scored {words.are(group.thin)} thin "
        f"({words.percent(share)}; the flock {words.between(group.thin_low, group.thin_high)})."
    )


def _who_is_thin(tables: Tables, groups: Sequence[GroupScores]) -> str:
    if not groups and len(tables.held_back):
        return "Nobody can say yet: scores of this season wait until what they lack is mended."
    if not groups:
        return "Nobody knows yet: no session has been scored this season before the rams go in."
    parts = [_thin_of(groups[0]), f"Thin means below {words.score(groups[0].low)} at this stage."]
    row = next((row for row in rows(tables.standing)), None)
    if row is not None:
        parts.append(
            f"The chance that more than {words.percent(tables.thin_limit)} of the flock is really thin is "
            f"{words.chance(float(row['chance_too_many_thin']))}."
        )
    return " ".join(parts)


def _flock(tables: Tables) -> str:
    flock = tables.flock()
    return "a number of ewes not registered" if flock is None else words.count(flock, "ewe")


def _session(tables: Tables, latest: Session | None) -> str:
    if latest is None:
        return "scores wait" if len(tables.held_back) else "not scored before tupping"
    return f"{latest.stage}, scored {words.day(latest.scored_on)}: {latest.ewes:,} of {_flock(tables)}"


def _changed(tables: Tables, latest: Session | None, groups: Sequence[GroupScores]) -> tuple[str, ...]:
    if latest is None:
        return ("No session this season to compare.",)
    earlier = changes.comparisons(latest, tables.history())
    if not earlier:
        return (
            "No earlier session of this season, nor one of last season at this stage, to compare it with.",
        )
    line = groups[0].low
    return tuple(changes.sentence(latest, then, line, changes.opening(latest, then)) for then in earlier)
