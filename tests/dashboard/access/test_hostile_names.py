"""A register with names that attack: what the import makes of them, and every page and export afterwards."""

import csv
import html
import io
import json
from pathlib import Path
from typing import Any

import pytest
from dash import Dash

from dashboard.app import create_app
from pipelines.settings import Settings
from tests.dashboard.access.attacks import page_body
from tests.dashboard.access.practice import AS_OF, Visitor, load

SCRIPT = "<script>alert(1)</script>"
ARABIC = "مزرعة الوادي"
MINUS = "-2+3 Barns"
OVERRIDE = "Barn \u202egnihton"
FORMULA, ENDLESS = "=cmd()|'/c calc'!A0", "x" * 4_000
NAMES = {"F1": SCRIPT, "F2": ARABIC, "F3": MINUS, "F4": FORMULA, "F5": ENDLESS, "F6": OVERRIDE}
TAKEN = {"F1", "F2", "F3"}


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("hostile") / "home"


@pytest.fixture(scope="module")
def report(home: Path) -> Any:
    lines = ["farm,name,system,ewes,weaned_on,rams_in,discussion_group"]
    lines += [f'{code},"{name}",hill,180,2026-07-20,2026-11-05,{SCRIPT}' for code, name in NAMES.items()]
    scores = ["farm,scored_on,group,ewe,score"]
    scores += [f"{code},2026-08-20,{SCRIPT},{number},2" for code in TAKEN for number in range(1, 20)]
    return load(home, {"register.csv": "\n".join(lines), "scores.csv": "\n".join(scores)})


@pytest.fixture(scope="module")
def app(home: Path, report: Any) -> Dash:
    return create_app(Settings(home, as_of=AS_OF))


@pytest.fixture
def owner(app: Dash) -> Visitor:
    """The machine's own user."""
    visitor = Visitor(app.server.test_client())
    visitor.get("/")
    return visitor


def test_formulas_endless_names_and_hidden_turns_are_refused_and_named(report: Any) -> None:
    refused = {(problem.line, problem.code) for problem in report.problems if problem.severity == "error"}
    assert refused == {(5, "formula"), (6, "text_too_long"), (7, "control_character")}


def test_pages_carry_such_names_as_text_and_never_as_markup(owner: Visitor) -> None:
    page = owner.get("/").text
    assert SCRIPT not in page
    for path in ("/", "/compare", "/files", "/farm/F1", "/farm/F2", "/farm/F3", f"/farm/{SCRIPT}"):
        answer = owner.post("/_dash-update-component", json=page_body(path))
        assert answer.status_code == 200 and answer.mimetype == "application/json"
        assert "dangerously_allow_html" not in answer.text
        if path in ("/", "/farm/F1"):
            assert SCRIPT in json.loads(answer.text)["response"]["_pages_content"]["children"].__repr__()


def test_an_address_with_markup_is_not_repeated_as_markup(owner: Visitor) -> None:
    for path in (f"/{SCRIPT}", f"/save/{SCRIPT}.csv", f"/save/ewes/{SCRIPT}.csv", f"/sign-in?next=/{SCRIPT}"):
        assert SCRIPT not in owner.get(path).text
    assert html.escape(SCRIPT) in owner.get(f"/sign-in?next=/{SCRIPT}").text


def test_exports_hold_no_cell_that_a_spreadsheet_would_work_out(owner: Visitor) -> None:
    for table in ("call-list", "funnel", "compare-shares", "compare-scores", "files", "problems"):
        text = owner.get(f"/save/{table}.csv?system=hill").text
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@")) and not number(cell)]
    names = [row["name"] for row in csv.DictReader(io.StringIO(owner.get("/save/call-list.csv").text))]
    refused = [f"name {code}" for code in NAMES.keys() - TAKEN]  # their register row was, so the code stands
    assert sorted(names) == sorted([SCRIPT, ARABIC, "name " + MINUS, *refused])


def number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
