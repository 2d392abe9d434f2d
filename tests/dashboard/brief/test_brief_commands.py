import json
import math
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar
from pypdf import PdfReader

from dashboard.brief import compose, gather
from dashboard.brief.commands import brief, calendar, commands, draw, plan, sheets
from pipelines import queries
from pipelines.queries import Reader
from pipelines.settings import load
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

REGISTER = """farm,name,system,ewes,weaned_on,rams_in
H01,High Sallow,hill,120,2026-07-24,2026-11-03
L02,Low Wharram,lowland,90,2026-07-10,2026-10-12
"""
SCORES = "farm,scored_on,group,ewe,score\n" + "".join(
    f"H01,2026-08-14,Top hill,8260998120{number:05d},{(1.5, 2, 2.5, 3)[number % 4]}\n"
    for number in range(1, 41)
)
AS_OF = "2026-08-20"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return practice_of(tmp_path_factory.mktemp("practice"), SCORES)


def practice_of(folder: Path, scores: str) -> Path:
    files = folder / "files"
    files.mkdir()
    (files / "register.csv").write_text(REGISTER)
    (files / "scores.csv").write_text(scores)
    import_paths([files], load(folder / "home", date.fromisoformat(AS_OF)))
    return folder / "home"


def run(command: object, home: Path, *arguments: object) -> Result:
    said = [*map(str, arguments), "--home", str(home), "--as-of", AS_OF]
    return CliRunner().invoke(command, said)  # type: ignore[arg-type]


def test_a_brief_is_written(home: Path, tmp_path: Path) -> None:
    result = run(brief, home, "H01", "-o", tmp_path / "brief.pdf")
    assert (result.exit_code, result.output) == (0, f"{tmp_path / 'brief.pdf'} written\n")
    first = PdfReader(tmp_path / "brief.pdf").pages[0].extract_text().replace("\u00a0", " ")
    # of 40 ewes, every number with remainder 0 or 1 mod 4 stands below 2½: 20
    assert "20 of 40 ewes scored must gain to reach 2½" in " ".join(first.split())


@pytest.fixture(scope="module")
def slow_farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A farm whose ewes, named to be on best grazing, gained a quarter of a score in 35 days: 140 a score."""
    days = {"2026-07-15": 2.25, "2026-08-19": 2.5}
    lines = [f"L02,{day},A,E{n},{score},best\n" for day, score in days.items() for n in range(60)]
    scores = "farm,scored_on,group,ewe,score,grazing\n" + "".join(lines)
    return practice_of(tmp_path_factory.mktemp("slow"), scores)


def test_last_useful_dates_rest_on_the_farms_own_rate_as_on_its_page(slow_farm: Path) -> None:
    snapshot = Snapshot(slow_farm)
    reader, settings = Reader(snapshot), load(slow_farm, date.fromisoformat(AS_OF))
    learned = queries.farm_growth(reader, "L02", 2026).set_index("grazing").loc["best"]
    tables = gather.tables(reader, settings, "L02")
    (farm,) = [each for each in gather.practice_dates(reader, settings) if each.farm == "L02"]
    snapshot.close()
    # ready by 28 September; half a score at the learned rate, which is slower than the published 52 days
    due = date(2026, 9, 28) - timedelta(days=math.ceil(learned["learned_median"] / 2))
    assert learned["learned_median"] > 56
    assert [line.best for line in compose.last_dates(tables)] == [due]
    assert [each.first for each in farm.deadlines if each.kind == "best grazing"] == [due]


def test_a_farm_that_is_not_registered_is_wrong_use(home: Path, tmp_path: Path) -> None:
    result = run(brief, home, "X99", "-o", tmp_path / "brief.pdf")
    assert result.exit_code == 2
    assert "no farm 'X99' in the register" in result.output
    assert "Check the code" in result.output


@pytest.mark.parametrize("command", [brief, draw, calendar, sheets, plan])
def test_a_farm_written_in_another_case_is_suggested(command: object, home: Path, tmp_path: Path) -> None:
    result = run(command, home, "h01", "-o", tmp_path / "out.pdf")
    assert result.exit_code == 2
    assert "no farm 'h01' in the register. Did you mean H01 (" in result.output


def test_a_farm_that_was_not_scored_still_gets_its_brief(home: Path, tmp_path: Path) -> None:
    assert run(brief, home, "L02", "-o", tmp_path / "brief.pdf").exit_code == 0
    assert "Not scored this season" in PdfReader(tmp_path / "brief.pdf").pages[0].extract_text()


def test_draw_lists_hold_every_ewe_outside_the_band_once(home: Path, tmp_path: Path) -> None:
    result = run(draw, home, "H01", "-o", tmp_path / "out", "--json")
    written = [Path(path) for path in json.loads(result.output)["files"]]
    numbers = [line for path in written if path.suffix == ".txt" for line in path.read_text().split()]
    # hill band 2½ to 3: the 20 ewes at 1½ and 2
    assert len(numbers) == len(set(numbers)) == 20
    assert len((tmp_path / "out" / "draw-list.csv").read_text().splitlines()) == 21


def test_a_farm_without_tags_is_told_to_draw_by_score(home: Path, tmp_path: Path) -> None:
    result = run(draw, home, "L02", "-o", tmp_path / "out")
    assert result.exit_code == 1
    assert "draw by score" in result.output


def test_the_practices_calendar_holds_every_farm(home: Path, tmp_path: Path) -> None:
    assert run(calendar, home, "-o", tmp_path / "all.ics").exit_code == 0
    events = Calendar.from_ical((tmp_path / "all.ics").read_bytes()).walk("VEVENT")
    rams = {str(event["SUMMARY"]): event.decoded("DTSTART").isoformat() for event in events}
    assert rams["High Sallow: Rams in"] == "2026-11-03"
    assert rams["Low Wharram: Rams in"] == "2026-10-12"


def test_sheets_are_printed_for_the_day_asked_for(home: Path, tmp_path: Path) -> None:
    assert run(sheets, home, "H01", "-o", tmp_path / "sheets.pdf", "--date", "2026-09-20").exit_code == 0
    assert "20 Sep 2026" in PdfReader(tmp_path / "sheets.pdf").pages[0].extract_text().replace("\u00a0", " ")


@pytest.mark.parametrize("command", commands, ids=lambda command: command.name)
def test_every_command_shows_an_example(command: object) -> None:
    assert "Example: tupping" in CliRunner().invoke(command, ["--help"]).output  # type: ignore[arg-type]
