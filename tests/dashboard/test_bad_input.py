"""Files in, a page out: what cannot be projected says why and what to do, and nothing is blank."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from dashboard import data
from dashboard.views import farm
from dashboard.views.state import FarmState
from pipelines import queries
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

REGISTER = "farm,name,system,ewes,weaned_on,rams_in\nF1,Beck Side,{system},100,{weaned_on},{rams_in}\n"
SCORES = "farm,scored_on,group,score,count\nF1,2026-08-15,Low field,2.5,{ewes}\n{more}"
BLANKS = {"nan", "NaN", "None", "NaT", "<NA>"}
Shown = Callable[..., tuple[str, list[str]]]


@pytest.fixture
def shown(tmp_path: Path, text_of: Callable[[object], str]) -> Shown:
    def page(
        system: str = "lowland", weaned_on: str = "2026-07-01", rams_in: str = "2026-10-10", ewes: int = 60,
        more: str = "",
    ) -> tuple[str, list[str]]:  # fmt: skip
        folder = tmp_path / "files"
        folder.mkdir()
        (folder / "register.csv").write_text(
            REGISTER.format(system=system, weaned_on=weaned_on, rams_in=rams_in)
        )
        (folder / "scores.csv").write_text(SCORES.format(ewes=ewes, more=more))
        import_paths([folder], Settings(home=tmp_path / "home", as_of=date(2026, 8, 20)))
        snapshot = Snapshot(tmp_path / "home")
        reader = Reader(snapshot)
        problems = queries.problems(reader)["message"].tolist()
        said = text_of(farm.page("F1", FarmState(), data.farm(reader, "F1", FarmState())))
        snapshot.close()
        assert not BLANKS & set(said.split())
        return said, problems

    return page


def test_rams_in_before_the_session(shown: Shown) -> None:
    said, _ = shown(weaned_on="2026-06-01", rams_in="2026-08-10")
    why = "Cannot be projected because the rams went in on 2026-08-10, before this session (2026-08-15)."
    assert why in said and "likely ready" not in said


def test_a_group_of_one(shown: Shown) -> None:
    said, _ = shown(more="F1,2026-08-15,Orphans,2,1\n")
    assert (
        "Orphans 1 ewe scored 15 Aug Cannot be projected because only one ewe of the group was scored" in said
    )
    assert "61 ewes scored 15 Aug" in said and "likely ready" in said  # she counts in the flock


def test_a_session_of_one_ewe(shown: Shown) -> None:
    said, _ = shown(ewes=1)
    assert "Cannot be projected because only one ewe" in said and "likely ready" not in said


def test_without_a_day_of_weaning_the_stage_is_asked_for_and_the_page_says_where_to_look(
    shown: Shown,
) -> None:
    said, problems = shown(weaned_on="")
    assert any("Add a stage column" in message and "weaned_on" in message for message in problems)
    assert "Nothing could be projected yet" in said and "Add the weaned_on date to the register" in said


def test_near_tupping_no_day_of_weaning_is_no_hindrance(shown: Shown) -> None:
    said, problems = shown(weaned_on="", rams_in="2026-09-01")
    assert "likely ready" in said and any("weaned_on is blank" in message for message in problems)


@pytest.mark.parametrize(
    ("missing", "named"),
    [({"rams_in": ""}, "rams_in"), ({"system": ""}, "system"), ({"system": "moor"}, "lowland")],
)
def test_without_rams_in_or_a_system_with_targets_the_rows_wait_and_the_remedy_is_named(
    shown: Shown, missing: dict[str, str], named: str
) -> None:
    said, problems = shown(**missing)
    assert "There is no farm “F1” here." in said
    assert any(named in message for message in problems)
    assert any("line of farm F1 in the register was refused, so" in message for message in problems)
    assert not any("is not in any register" in message or "Did you mean" in message for message in problems)
