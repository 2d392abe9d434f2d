"""A build that takes farms after others, as one of many rows does, gives what it gives of all at once."""

from datetime import date
from typing import Any

import pytest

from pipelines.models import workshop

WEANING, LATER = date(2026, 7, 5), date(2026, 8, 15)


def grow(world: Any, farm: str) -> None:
    """Two sessions of a farm: identified ewes, of whom one jumps and one has two lines, and a tally."""
    world.register(farm)
    for day, rise in ((WEANING, 0.0), (LATER, 0.5)):
        ewes = [{"ewe": f"{farm}{ewe}", "score": 2.0 + ewe % 3 / 2 + rise} for ewe in range(12)]
        jumped = {"ewe": f"{farm}99", "score": 1.5 + 4 * rise}
        world.scores(farm, *ewes, ewes[0] | {"score": 4.0}, jumped, file=f"{farm}-{day}.csv", scored_on=day)
    world.tally(farm, {2.0: 9, 3.0: 20}, group="Hill", scored_on=LATER, file=f"{farm}-tally.csv")


@pytest.mark.parametrize(("rows", "counts"), [(1, 1), (60, 12)])
def test_a_build_in_turns_is_as_one_at_once(
    world: Any, monkeypatch: pytest.MonkeyPatch, rows: int, counts: int
) -> None:
    for farm in ("F1", "F2", "F3", "F4", "F5"):
        grow(world, farm)
    world.scores("F9", {"ewe": "A1"}, file="no-register.csv")
    world.build()
    at_once = in_order(world)
    assert all(at_once[table] for table in ("backtest", "ewe_action", "import_problem", "growth_interval"))
    monkeypatch.setattr(workshop, "ROWS_AT_ONCE", rows)
    monkeypatch.setattr(workshop, "COUNTS_AT_ONCE", counts)
    world.build()
    assert in_order(world) == at_once


def in_order(world: Any) -> dict[str, list[Any]]:
    """All published tables; `ewe_history`, which has no order of its own, in that of all its columns."""
    found: dict[str, list[Any]] = world.everything()
    return found | {"ewe_history": sorted(found["ewe_history"], key=repr)}
