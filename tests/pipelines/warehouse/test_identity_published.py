"""However her tag is written in four sessions, the published history is of one ewe of that farm."""

from collections.abc import Callable
from pathlib import Path

from pipelines.settings import Settings
from pipelines.warehouse.commands import retag_ewe
from pipelines.warehouse.report import ImportReport

from .conftest import REGISTER, exported

Take = Callable[..., ImportReport]
# ISO 11784: 826 is the United Kingdom; the printed form is UK 0, flock mark, animal (reference.md)
WRITTEN = ("826012345600001", "0826012345600001", "UK 0 123456 00001", "uk0123456-00001")


def offer(folder: Path, tags: tuple[str, ...], farm: str = "NORTHBARN") -> list[Path]:
    paths = []
    for day, tag in enumerate(tags, 1):
        path = folder / f"{farm}-{day}.csv"
        path.write_text(f"farm,scored_on,group,ewe,score\n{farm},2026-08-{day:02},G,{tag},2.5\n")
        paths.append(path)
    (folder / "register.csv").write_text(REGISTER)
    return [*paths, folder / "register.csv"]


def history(settings: Settings) -> list[str]:
    rows = exported(settings.home)["ewe_history"].decode().splitlines()[1:]
    return [",".join(row.split(",")[:1] + row.split(",")[2:3]) for row in rows]


def test_four_ways_to_write_a_tag_are_one_ewe(take: Take, settings: Settings, tmp_path: Path) -> None:
    take(*offer(tmp_path, WRITTEN))
    assert history(settings) == ["NORTHBARN,826012345600001"] * 4


def test_a_short_tag_is_one_ewe_on_its_farm_and_another_elsewhere(
    take: Take, settings: Settings, tmp_path: Path
) -> None:
    take(*offer(tmp_path, ("b 7", "B  7", "B 7")), *offer(tmp_path, ("B 7",), "SOUTHBARN"))
    assert history(settings) == ["NORTHBARN,B 7"] * 3 + ["SOUTHBARN,B 7"]


def test_zeros_are_kept_and_a_retag_joins_what_two_tags_recorded(
    take: Take, settings: Settings, tmp_path: Path
) -> None:
    take(*offer(tmp_path, ("07", "7", "UK 0 123456 00001")))
    assert history(settings) == ["NORTHBARN,07", "NORTHBARN,7", "NORTHBARN,826012345600001"]
    retag_ewe(settings, "NORTHBARN", "7", "uk 0 123456 00001", 1)
    assert history(settings) == ["NORTHBARN,07", *["NORTHBARN,826012345600001"] * 2]


def test_a_tag_in_scientific_notation_is_refused_with_the_remedy(
    take: Take, settings: Settings, tmp_path: Path
) -> None:
    report = take(*offer(tmp_path, ("8.26E+14",)))
    (problem,) = report.problems
    assert (problem.code, problem.line) == ("ewe_scientific", 2)
    assert "format the column as text" in problem.message
    assert history(settings) == []
