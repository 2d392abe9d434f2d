"""Replacing, withdrawing and bringing back on the Files page: seen first, then all tables follow."""

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pipelines.models import TABLES
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.importing import Given, import_paths
from pipelines.warehouse.snapshot import Snapshot

from .conftest import AS_OF, SESSION, Enter, bring, seen, state_of

FILE = SESSION


def published(home: Path, query: str) -> list[tuple[Any, ...]]:
    return Reader(Snapshot(home)).rows(query)


def tables(home: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every published table but the one that names the generation."""
    return {table: published(home, f"select * from {table}") for table in TABLES if table != "about"}


@pytest.fixture
def sha256(home: Path) -> str:
    return str(published(home, f"select sha256 from import_file where file = '{FILE}'")[0][0])


def do(visitor: Any, sha256: str, what: str, **form: str) -> Any:
    page = seen(visitor, f"/change/{sha256}" + (f"?by={form['by']}" if "by" in form else ""))
    return visitor.post(f"/intake/change/{sha256}/{what}", data={"seen": state_of(page)} | form)


def test_withdrawing_is_shown_done_and_undone(enter: Enter, home: Path, sha256: str) -> None:
    practice, before = enter("practice"), tables(home)
    page = seen(practice, f"/change/{sha256}")
    assert "40 rows would count no more" in page and "22 Aug 2026: 40 ewes" in page
    assert do(practice, sha256, "withdraw").status_code == 200
    after = tables(home)
    for table in ("score_distribution", "session_summary", "readiness", "ewe_action", "ewe_history"):
        assert after[table] != before[table], table
        assert not [row for row in after[table] if "Hoggs" in row and row[0] == "NORTHFOLD"]
    assert published(home, f"select status from import_file where file = '{FILE}'") == [("withdrawn",)]
    assert "Withdrawn: its rows do not count" in seen(practice, f"/change/{sha256}")
    assert do(practice, sha256, "reinstate").status_code == 200
    assert tables(home) == before


def test_of_a_file_given_with_two_days_each_is_withdrawn_or_corrected_alone(
    enter: Enter, home: Path, tmp_path: Path
) -> None:
    path = tmp_path / "undated.csv"
    path.write_text("farm,group,ewe,score\nNORTHFOLD,Hoggs,1,2.5\nNORTHFOLD,Hoggs,2,3\n")
    for day in (date(2026, 8, 24), date(2026, 8, 25)):
        import_paths([path], Settings(home, as_of=AS_OF), Given(scored_on=day))
    found = published(home, "select sha256, rows_accepted from import_file where file = 'undated.csv'")
    assert [rows for _, rows in found] == [2, 2]
    page = seen(practice := enter("practice"), f"/change/{found[0][0]}")
    assert "imported more than once" in page and "--date DAY" in page and "2026-08-25" in page
    links = re.findall(rf"/change/({found[0][0]}\.[0-9a-f]{{12}})", seen(practice, "/files?find=undated"))
    pages = {"24 Aug" in seen(practice, f"/change/{link}"): link for link in links}
    assert len(pages) == 2  # each is a page of its own, and says which day was given
    assert do(practice, pages[True], "withdraw").status_code == 200
    days = "select scored_on from session_summary where \"group\" = 'Hoggs' and ewes = 2 order by all"
    assert published(home, days) == [(date(2026, 8, 25),)]
    link = pages[False]  # the other day's is corrected
    page = seen(practice, f"/change/{link}")
    search = page.split('"data-search": "')[1].split('"')[0]
    assert search == f"?day=2026-08-25&replaces={link}"
    offered = bring(practice, "undated-2.csv", "farm,group,ewe,score\nNORTHFOLD,Hoggs,1,2\n").get_json()["at"]
    shown = seen(practice, offered + search)
    token = offered.rsplit("/", 1)[1]
    done = practice.post(f"/intake/offer/{token}{search}", data={"seen": state_of(shown)})
    assert done.status_code == 200
    held = "select status from import_file where file = 'undated.csv' order by given"
    assert published(home, held) == [("withdrawn",), ("superseded",)]


def test_a_corrected_file_replaces_after_its_difference_was_seen(
    enter: Enter, home: Path, sha256: str
) -> None:
    practice = enter("practice")
    text = (home.parent / FILE).read_text()
    corrected = text.replace("Hoggs,3,1.5", "Hoggs,3,3").replace("NORTHFOLD,2026-08-22,Hoggs,4,2\n", "")
    assert len(corrected.splitlines()) == 40
    at = bring(practice, FILE, corrected).json["at"]
    assert "Say above what this file is" in seen(practice, at)
    page = seen(practice, f"{at}?replaces={sha256}")
    assert "Score 1.5 → 3" in page and "Import 39 rows and replace" in page
    assert practice.post(f"/intake{at}", data={"seen": state_of(page)}).status_code == 409  # not said yet
    assert practice.post(f"/intake{at}?replaces={sha256}", data={"seen": state_of(page)}).status_code == 200
    status = f"select status from import_file where file = '{FILE}' order by status"
    assert published(home, status) == [("imported",), ("superseded",)]
    ewes = """select ewes from session_summary
        where farm = 'NORTHFOLD' and scored_on = '2026-08-22' and "group" = 'ALL'"""
    assert published(home, ewes) == [(39,)]
    assert published(home, "select score from ewe_history where farm = 'NORTHFOLD' and ewe = '3'") == [(3.0,)]
    history = seen(practice, "/files")
    assert history.count(FILE) >= 2 and f"replaced by {FILE}" in history


def test_two_files_that_count_beside_each_other_can_be_put_right_later(
    enter: Enter, home: Path, sha256: str
) -> None:
    practice = enter("practice")
    text = (home.parent / FILE).read_text().replace("Hoggs,3,1.5", "Hoggs,3,3")
    at = bring(practice, "zz.csv", text).json["at"]
    state = state_of(seen(practice, f"{at}?replaces=both"))
    assert practice.post(f"/intake{at}?replaces=both", data={"seen": state}).status_code == 200
    assert "session_sent_twice" in {code for (code,) in published(home, "select code from import_problem")}
    ((new,),) = published(home, "select sha256 from import_file where file = 'zz.csv'")
    assert "Score 1.5 → 3" in seen(practice, f"/change/{sha256}?by={new}")
    assert do(practice, sha256, "replace", by=new).status_code == 200
    assert published(home, f"select superseded_by from import_file where file = '{FILE}'") == [("zz.csv",)]
    assert "session_sent_twice" not in {
        code for (code,) in published(home, "select code from import_problem")
    }


def test_what_has_changed_since_it_was_seen_is_not_done(enter: Enter, sha256: str) -> None:
    practice = enter("practice")
    stale = state_of(seen(practice, f"/change/{sha256}"))
    assert do(practice, sha256, "withdraw").status_code == 200
    answer = practice.post(f"/intake/change/{sha256}/reinstate", data={"seen": stale})
    assert (answer.status_code, "Look at it again" in answer.text) == (409, True)


@pytest.mark.parametrize("role", ["adviser", "member"])
def test_only_the_practice_corrects(role: str, enter: Enter, home: Path, sha256: str) -> None:
    visitor = enter(role)
    assert visitor.post(f"/intake/change/{sha256}/withdraw", data={"seen": "1"}).status_code == 403
    assert "40 rows" not in seen(visitor, f"/change/{sha256}")
    assert published(home, f"select status from import_file where file = '{FILE}'") == [("imported",)]


def test_a_new_tag_is_recorded_for_ones_own_farm_alone(enter: Enter, home: Path) -> None:
    adviser = enter("adviser")
    tags = {"old": "3", "new": "uk 0 123456 00001"}
    assert adviser.post("/intake/retag/EASTHOLM", data=tags).status_code == 404
    answer = adviser.post("/intake/retag/NORTHFOLD", data=tags)
    assert "her scores stay together" in answer.json["said"]
    assert published(home, "select farm from ewe_history where ewe = '826012345600001'") == [("NORTHFOLD",)]
    wrong = adviser.post("/intake/retag/NORTHFOLD", data=tags | {"new": "8.26E+14"})
    assert (wrong.status_code, "digits are lost" in wrong.text) == (409, True)
