"""Headings named once for a farm hold for its later files, also where the farm stands only in a column."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.rebuilding import rebuild
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query

Take = Callable[..., ImportReport]
NAMED = {"Beast": "ewe", "Cond": "score"}


def odd(farm: str, day: str, heading: str = "farm") -> str:
    return f"{heading},scored_on,group,Beast,Cond\n" + "".join(
        f"{farm},{day},ewes,{ewe},{2 + ewe % 2}\n" for ewe in range(4)
    )


def status(report: ImportReport, file: str) -> str:
    return next(outcome.status for outcome in report.files if outcome.file == file)


@pytest.fixture
def named(take: Take, imported: Path, tmp_path: Path) -> Path:
    """North Barn's first file, for which two headings were named."""
    path = tmp_path / "first.csv"
    path.write_text(odd("NORTHBARN", "2026-08-09"))
    take(path, headings=NAMED, remember_for="NORTHBARN")
    return path


def test_the_next_file_of_the_farm_is_read_with_them(take: Take, named: Path, tmp_path: Path) -> None:
    (tmp_path / "next.csv").write_text(odd("NORTHBARN", "2026-08-16"))
    assert status(take(tmp_path / "next.csv"), "next.csv") == "imported"


def test_another_farm_is_not_read_with_them(take: Take, named: Path, tmp_path: Path) -> None:
    (tmp_path / "other.csv").write_text(odd("SOUTHBARN", "2026-08-16"))
    assert status(take(tmp_path / "other.csv"), "other.csv") == "refused"


def test_a_file_of_two_farms_is_not_read_with_the_headings_of_one(
    take: Take, named: Path, tmp_path: Path
) -> None:
    text = odd("NORTHBARN", "2026-08-16") + "SOUTHBARN,2026-08-16,ewes,9,3\n"
    (tmp_path / "both.csv").write_text(text)
    assert status(take(tmp_path / "both.csv"), "both.csv") == "refused"


def test_the_farm_column_itself_may_go_by_the_farms_own_name(
    take: Take, imported: Path, tmp_path: Path
) -> None:
    for day in ("09", "16"):
        (tmp_path / f"{day}.csv").write_text(odd("NORTHBARN", f"2026-08-{day}", "Holding ref"))
    take(tmp_path / "09.csv", headings=NAMED | {"Holding ref": "farm"}, remember_for="NORTHBARN")
    assert status(take(tmp_path / "16.csv"), "16.csv") == "imported"


def test_rebuilding_reads_each_file_as_it_was_read(
    take: Take, named: Path, settings: Settings, tmp_path: Path
) -> None:
    (tmp_path / "next.csv").write_text(odd("NORTHBARN", "2026-08-16"))
    take(tmp_path / "next.csv")
    before = exported(settings.home)
    rebuild(settings)
    assert exported(settings.home) == before
    assert query(settings.home, "select count(*) from heading_map") == [(2,)]
