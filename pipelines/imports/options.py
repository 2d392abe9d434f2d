"""The values given with the import (`--farm`, `--date`, `--group`), held to the same rules as cells."""

from __future__ import annotations

from datetime import date

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.problems import Fault, RefusedError
from pipelines.imports.text_cells import group, name


def given_values(context: Context) -> dict[str, str | date]:
    """Column → the value given with the import.

    Raises `RefusedError` when a value could not stand in a cell either.
    """
    given: dict[str, str | date] = {}
    if context.farm is not None:
        given["farm"] = _usable("--farm", name(context.farm, "farm"))
    if context.group is not None:
        given["group"] = _usable("--group", group(context.group))
    if context.scored_on is not None:
        if context.scored_on > context.today:
            shown = context.scored_on.isoformat()
            _usable("--date", catalogue.DATE_FUTURE(shown, today=context.today.isoformat()))
        given["scored_on"] = context.scored_on
    return given


def _usable(option: str, found: str | Fault) -> str:
    if isinstance(found, Fault):
        fault = catalogue.OPTION_UNUSABLE(found.value, option=option, why=found.message)
        raise RefusedError(fault.at(None, option))
    return found
