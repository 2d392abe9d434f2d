"""Files in, pages out: no farm of which scores or a register line came is invisible, whatever it lacks."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from dashboard import data
from dashboard.brief import gather
from dashboard.brief.compose import compose
from dashboard.brief.next_time import expected
from dashboard.brief.tables import BriefError
from dashboard.views import farm, flocks
from dashboard.views.state import FarmState, FlocksState
from pipelines import queries
from pipelines.models import TABLES
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

AS_OF = date(2026, 8, 20)
HEADINGS = "farm,name,system,ewes,weaned_on,rams_in\n"
WHOLE = "F1,Beck Side,lowland,100,2026-07-01,2026-10-10\n"
SCORES = "farm,scored_on,group,score,count\nX9,2026-08-15,Low field,2.5,40\nX9,2026-08-15,Low field,3,20\n"
SEEN = "15 Aug 2026, 60 ewes"  # the two counts of SCORES together
BLANKS = {"nan", "NaN", "None", "NaT", "<NA>"}
REGISTER = "the register (register.csv, line 3)"
CASES = {
    "rams_in missing": ("X9,High Lathe,hill,80,2026-07-20,\n", f"{REGISTER} gives no rams-in date"),
    "system missing": ("X9,High Lathe,,80,2026-07-20,2026-11-01\n", f"{REGISTER} gives no system"),
    "system unknown": (
        "X9,High Lathe,moor,80,2026-07-20,2026-11-01\n",
        f"{REGISTER} gives “moor”, which is not a system",
    ),
    "rams_in unreadable": (
        "X9,High Lathe,hill,80,2026-07-20,31/02/2026\n",
        f"{REGISTER} gives a “rams_in” that cannot be used, “31/02/2026”",
    ),
    "weaned after the rams": (
        "X9,High Lathe,hill,80,2026-11-20,2026-11-01\n",
        f"{REGISTER} has the ewes weaned after the rams go in",
    ),
    "another season only": (
        "X9,High Lathe,hill,80,2024-07-20,2024-11-01\n",
        f"{REGISTER} gives no rams-in date near the scoring of 2026-08-15 (the nearest is 2024-11-01)",
    ),
    "weaned_on missing": (
        "X9,High Lathe,hill,80,,2026-11-01\n",
        f"{REGISTER} gives no weaned_on date, so the stage of the scoring is not known",
    ),
    "before weaning": (
        "X9,High Lathe,hill,80,2026-09-01,2026-11-01\n",
        "the scoring of 2026-08-15 (scores.csv, line 2) falls in no stage of the season (weaned 2026-09-01, "
        "rams in 2026-11-01)",
    ),
    "unknown to the register": ("", "the farm (scores.csv) is in no register that could be taken"),
}
Practice = Callable[..., Reader]


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Practice]:
    """The practice after importing a register of F1 and this line, and these scores; the same once made."""
    opened: list[Snapshot] = []

    @cache
    def imported(line: str, scores: str = SCORES, as_of: date = AS_OF) -> Reader:
        folder = tmp_path_factory.mktemp("practice")
        (folder / "register.csv").write_text(HEADINGS + WHOLE + line)
        if scores:
            (folder / "scores.csv").write_text(scores)
        import_paths([*folder.glob("*.csv")], Settings(home=folder / "home", as_of=as_of))
        opened.append(Snapshot(folder / "home"))
        return Reader(opened[-1])

    yield imported
    for snapshot in opened:
        snapshot.close()


def shown(reader: Reader, code: str = "X9", season: int | None = None) -> object:
    state = FarmState(season=season)
    return farm.page(code, state, data.arrived(reader, code, state))


@pytest.mark.parametrize("case", CASES)
def test_the_farms_page_says_why_it_cannot_be_projected_and_what_has_come(
    case: str, practice: Practice, text_of: Callable[[object], str]
) -> None:
    line, why = CASES[case]
    said = text_of(shown(practice(line), season=2026))
    assert f"Cannot be projected because {why}." in said
    assert SEEN in said and "Low field 60 40 20" in said  # of the group: its ewes, at 2.5, at 3
    assert "likely ready" not in said and not BLANKS & set(said.split())


def test_a_farm_written_otherwise_in_its_scores_asks_which_is_meant(
    practice: Practice, text_of: Callable[[object], str]
) -> None:
    reader, state = practice("", SCORES.replace("X9", "f1")), FarmState()
    found = data.arrived(reader, "f1", state)
    meant = data.meant(reader, "f1", found if isinstance(found, data.HeldBack) else None)
    assert meant == [("F1", "Beck Side")]
    assert "Did you mean one of these? Beck Side (F1)" in text_of(farm.page("f1", state, found, meant=meant))
    with pytest.raises(BriefError, match=r"Did you mean F1 \(Beck Side\)\?"):
        gather.tables(reader, Settings(home=Path("unused"), as_of=AS_OF), "f1")


@pytest.mark.parametrize("case", CASES)
def test_the_call_list_has_the_farm_with_the_reason_and_a_link(
    case: str, practice: Practice, text_of: Callable[[object], str]
) -> None:
    line, _ = CASES[case]
    reader = practice(line)
    row = queries.call_list(reader, 2026).set_index("farm").loc["X9"]
    assert (row["status"], row["ewes"]) == ("cannot be judged", 60)
    assert "60 ewes scored 15 Aug" in row["reason"] and ".csv" not in row["reason"]
    page = flocks.page(FlocksState(), data.flocks(reader, FlocksState()))
    said = " ".join(text_of(page).split())
    assert "1 cannot be judged" in said and not BLANKS & set(said.split())
    assert "/farm/X9?season=2026" in str(page)


@pytest.mark.parametrize("case", CASES)
def test_the_brief_gives_the_reason_instead_of_figures(case: str, practice: Practice) -> None:
    line, why = CASES[case]
    reader = practice(line)
    try:
        tables = gather.tables(reader, Settings(home=Path("unused"), as_of=AS_OF), "X9", 2026)
        said = compose(tables).verdict
    except BriefError as error:
        said = str(error)
    assert f"cannot be projected because {why}." in said


@pytest.mark.parametrize("case", CASES)
def test_no_published_table_holds_a_number_that_is_none(case: str, practice: Practice) -> None:
    reader = practice(CASES[case][0])
    for table in TABLES:
        cells = [cell for row in reader.rows(f"select * from {table}") for cell in row]
        assert not [cell for cell in cells if isinstance(cell, float) and cell != cell], table


def test_a_register_line_that_is_refused_is_shown_before_any_score_comes(
    practice: Practice, text_of: Callable[[object], str]
) -> None:
    reader = practice(CASES["rams_in missing"][0], scores="")
    said = text_of(shown(reader))
    assert f"Cannot be projected because {REGISTER} gives no rams-in date." in said
    assert "High Lathe" in said and "No scores have come of 2026." in said
    assert queries.call_list(reader, 2026).set_index("farm").loc["X9", "reason"].endswith("no scores yet")


def test_scores_alone_without_any_register_are_shown(
    tmp_path: Path, text_of: Callable[[object], str]
) -> None:
    (tmp_path / "scores.csv").write_text(SCORES)
    import_paths([tmp_path / "scores.csv"], Settings(home=tmp_path / "home", as_of=AS_OF))
    snapshot = Snapshot(tmp_path / "home")
    reader = Reader(snapshot)
    page = text_of(flocks.page(FlocksState(), data.flocks(reader, FlocksState())))
    snapshot.close()
    assert "1  cannot be judged" in page and "60 ewes scored 15 Aug" in page


def test_a_corrected_register_lets_the_farm_in(tmp_path: Path) -> None:
    settings = Settings(home=tmp_path / "home", as_of=AS_OF)
    for number, line in enumerate(
        (CASES["rams_in missing"][0], "X9,High Lathe,hill,80,2026-07-20,2026-11-01\n")
    ):
        (tmp_path / f"register-{number}.csv").write_text(HEADINGS + line)
        (tmp_path / "scores.csv").write_text(SCORES)
        import_paths([tmp_path / f"register-{number}.csv", tmp_path / "scores.csv"], settings)
    snapshot = Snapshot(settings.home)
    reader = Reader(snapshot)
    assert queries.farm_held_back(reader, "X9").empty
    assert queries.call_list(reader, 2026)["status"].tolist() != ["cannot be judged"]
    snapshot.close()


def test_a_later_session_that_waits_is_told_beside_the_one_that_is_judged(practice: Practice) -> None:
    scores = SCORES.replace("2026-08-15,Low field,3,", "2026-10-01,Low field,3,")
    line = "X9,High Lathe,hill,80,2026-06-20,2026-09-01\n"
    row = queries.call_list(practice(line, scores, date(2026, 10, 5)), 2026).set_index("farm").loc["X9"]
    assert (row["status"], row["ewes"]) == ("tupping begun", 40)
    assert "scores of 1 Oct wait: the scoring of 2026-10-01 falls in no stage of the season" in row["reason"]


def test_whoever_may_not_see_a_file_is_not_told_its_name(practice: Practice) -> None:
    reader = practice(CASES["rams_in missing"][0])
    scoped = Reader(reader._snapshot, {"X9"})
    (row,) = queries.farm_held_back(scoped, "X9").to_dict("records")
    assert row["why"] == "gives no rams-in date" and row["file"] is None  # register.csv has a line of F1 too
    assert queries.farm_held_back(Reader(reader._snapshot, {"F1"}), "X9").empty


def test_the_command_exports_the_reasons(tmp_path: Path) -> None:
    (tmp_path / "register.csv").write_text(HEADINGS + WHOLE + CASES["rams_in missing"][0])
    import_paths([tmp_path / "register.csv"], Settings(home=tmp_path / "home", as_of=AS_OF))
    command = [sys.executable, "-m", "dashboard.cli", "export", "held_back", "--home", str(tmp_path / "home")]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "gives no rams-in date" in done.stdout and "nan" not in done.stdout.lower()


def test_a_flock_of_unknown_size_has_a_brief_and_a_plan(practice: Practice) -> None:
    reader = practice("X9,High Lathe,hill,,2026-07-20,2026-11-01\n")
    tables = gather.tables(reader, Settings(home=Path("unused"), as_of=AS_OF), "X9", 2026)
    said = " ".join(compose(tables).session.split())
    assert said == "weaning, scored 15 Aug 2026: 60 of a number of ewes not registered"
    assert expected(tables).flock == 60  # those scored last


def test_without_any_number_of_ewes_the_plan_says_what_to_add(practice: Practice) -> None:
    reader = practice("X9,High Lathe,hill,,2026-07-20,2026-11-01\n", scores="")
    tables = gather.tables(reader, Settings(home=Path("unused"), as_of=AS_OF), "X9", 2026)
    with pytest.raises(BriefError, match="farm X9 has no number of ewes: add it to the farm register"):
        expected(tables)
