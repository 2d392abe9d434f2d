"""What was tried out on the farm's page, for its brief: in a sentence or two, after things as they stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dashboard.brief import words
from dashboard.brief.tables import WHOLE, Row, Tables, rows
from pipelines.queries.what_if import Outlook, Plan
from pipelines.readiness.allocation import Allocation

HARDLY = 0.5  # of a ewe


def tried(tables: Tables, plan: Plan, outlook: Outlook) -> str:
    """What `plan` changes and what `outlook` under it shows; nothing where it changes nothing."""
    moved, places = list(_moved(tables, plan, outlook)), list(_places(tables, plan))
    if not moved and not places:
        return ""
    parts = [f"{words.listed([*moved, *places])}."]
    if moved:
        parts.append(_then(tables, outlook))
    if places and outlook.allocation is not None and outlook.places:
        parts.append(_worth(outlook.allocation, outlook.places))
    return " ".join(parts)


def _moved(tables: Tables, plan: Plan, outlook: Outlook) -> Iterator[str]:
    """Changes by which the projection itself changes."""
    fixed = tables.dates()
    if outlook.rams_in != fixed.rams_in:
        yield f"rams in {words.day(outlook.rams_in)} instead of {words.day(fixed.rams_in)}"
    usual = (fixed.rams_in - fixed.ready_by).days
    if outlook.flush_days != usual:
        yield f"{words.count(outlook.flush_days, 'day')} of flushing instead of {usual}"
    for row in rows(tables.readiness):
        group = words.text(row["group"])
        now = words.text(row["grazing"]) if row.get("grazing_named") else "what is not written"
        if group in plan.grazing and plan.grazing[group] != now:
            yield f"{words.cut(group, 40)} on {plan.grazing[group]} grazing instead of {now}"


def _places(tables: Tables, plan: Plan) -> Iterator[str]:
    known = words.number(tables.register()["best_grazing_places"])
    if plan.places is not None and plan.places != known:
        instead = "" if known is None else f" instead of {known:.0f}"
        yield f"{words.count(plan.places, 'place')} on best grazing{instead}"


def _then(tables: Tables, outlook: Outlook) -> str:
    row, stands = _whole(rows(outlook.readiness)), _whole(rows(tables.readiness))
    if row is None or words.missing(row["ready_share"]):
        return f"Then readiness {words.text(row['why_not']) if row else 'cannot be projected'}."
    then = (
        f"Then {words.percent(row['ready_share'])} likely ready by {words.day(outlook.ready_by)}, "
        f"{words.between(row['ready_share_low'], row['ready_share_high'])}"
    )
    if stands is None or words.missing(stands["ready_share"]):
        return f"{then}."
    return f"{then}; as things stand {words.percent(stands['ready_share'])}."


def _whole(found: Iterable[Row]) -> Row | None:
    return next((row for row in found if row["group"] == WHOLE), None)


def _worth(found: Allocation, places: int) -> str:
    gained, moved = found.ready - found.without, int(found.moved.sum())
    if gained < HARDLY:
        return f"Moving ewes to the {words.count(places, 'place')} would hardly make one more ready."
    more = words.count(round(gained), "more ewe")
    return (
        f"{words.count(moved, 'ewe')} moved there from today make about {more} ready than with nobody there."
    )
