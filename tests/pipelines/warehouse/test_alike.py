"""Which farm was meant."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.warehouse.alike import alike, did_you_mean
from pipelines.warehouse.report import ImportReport

from .conftest import session

KNOWN = {"BRIAR": "Briar Hill", "BRAIR2": "Low Garth", "H01": "", "WEXN13": "Wexenthwaite"}


@pytest.mark.parametrize(
    ("wanted", "meant"),
    [
        ("briar", ["BRIAR"]),
        ("wexenthwaite", ["WEXN13"]),  # by its name
        (" wexn 13", ["WEXN13"]),
        ("WEXN31", ["WEXN13"]),  # two letters changed round
        ("H02", []),  # two of three letters alike: as likely another farm
        ("", []),
    ],
)
def test_a_farm_is_found_by_another_case_its_name_or_a_slip(wanted: str, meant: list[str]) -> None:
    assert alike(wanted, KNOWN) == meant


def test_what_may_be_meant_is_asked_with_its_name() -> None:
    assert did_you_mean("briar", KNOWN) == "Did you mean BRIAR (Briar Hill)?"
    assert did_you_mean("h01", KNOWN) == "Did you mean H01?"
    assert did_you_mean("zz", KNOWN) == ""


@pytest.mark.parametrize(("only_farms", "told"), [(None, True), (frozenset({"northbarn"}), False)])
def test_whoever_may_see_some_farms_is_not_told_of_others(
    take: Callable[..., ImportReport], imported: Path, only_farms: frozenset[str] | None, told: bool
) -> None:
    (imported / "slip.csv").write_text(session("northbarn", "2026-08-01", "2 3"))
    (waits,) = take(imported / "slip.csv", only_farms=only_farms).problems
    assert "2 rows wait" in waits.message and ("NORTHBARN" in waits.message) is told
