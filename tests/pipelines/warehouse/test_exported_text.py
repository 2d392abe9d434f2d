"""An exported CSV holds no formula, and its numbers stay numbers."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.exporting import defused
from pipelines.warehouse.report import ImportReport

from .conftest import exported

Take = Callable[..., ImportReport]


# the beginnings that OWASP's page on CSV injection names (from memory)
@pytest.mark.parametrize(
    "text", ["=cmd()", "+A1", "-A1+B2", "@SUM(A1)", "\t=A1", "\r=A1", " =A1", "＝A1", "-"]
)
def test_what_begins_like_a_formula_is_defused(text: str) -> None:
    assert defused(text) == "'" + text


@pytest.mark.parametrize("cell", ["-5", "+3", "-0.5", "-0,5", "-1e-05", "Ewe = 7", "", "0-5", None, -5, -0.5])
def test_numbers_and_plain_words_stay_as_they_are(cell: object) -> None:
    assert defused(cell) == cell


def test_a_formula_in_a_clients_cell_is_harmless_in_the_export(
    take: Take, settings: Settings, tmp_path: Path
) -> None:
    (tmp_path / "a.csv").write_text(
        "farm,scored_on,group,ewe,score\nN,2026-08-01,G,1,=1+1\nN,2026-08-01,G,2,-3\n"
    )
    take(tmp_path / "a.csv")
    problems = exported(settings.home)["import_problem"].decode()
    assert ",'=1+1," in problems and ",=1+1," not in problems
    assert ",-3," in problems
