"""From the file that is dropped to the published tables, as each role."""

import errno
import json
from pathlib import Path
from typing import Any

import pytest

from dashboard.intake.counter import LARGEST_BYTES
from pipelines.queries import Reader
from pipelines.warehouse.lock import writer_lock
from pipelines.warehouse.snapshot import Snapshot

from .conftest import Enter, bring, seen, state_of

HEAD = "farm,scored_on,group,ewe,score\n"
OWN = HEAD + "NORTHFOLD,2026-08-27,Shearlings,9,2\nNORTHFOLD,2026-08-27,Shearlings,7,2.5\n"
OTHER = HEAD + "EASTHOLM,2026-08-27,Shearlings,7,2.5\n"
MAPPED = "Wo,scored_on,group,Beast,Cond\nNORTHFOLD,2026-08-27,Shearlings,7,2.5\n"
AS = "map.Wo=farm&map.Beast=ewe&map.Cond=score"


def taken(visitor: Any, at: str, search: str = "") -> Any:
    """The answer to confirming what the page shows."""
    address = f"{at}?{search}" if search else at
    form = {"seen": state_of(seen(visitor, address))}
    return visitor.post(f"/intake{address}", data=form)


def published(home: Path, query: str) -> list[tuple[Any, ...]]:
    return Reader(Snapshot(home)).rows(query)


@pytest.mark.parametrize("role", ["practice", "adviser"])
def test_a_file_is_seen_then_imported_then_reported(role: str, enter: Enter, home: Path) -> None:
    visitor = enter(role)
    at = bring(visitor, "../../august.csv", OWN).json["at"]
    page = seen(visitor, at)
    assert "august.csv" in page and ".." not in page
    assert "2 of 2 rows can be taken" in page and "Import 2 rows" in page
    assert taken(visitor, at).json == {"at": at}
    assert "2 of 2 rows taken" in seen(visitor, at)
    assert published(home, "select rows_accepted from import_file where file = 'august.csv'") == [(2,)]
    assert not list((home / "offered").rglob("august.csv"))


def test_headings_are_named_on_the_page_and_remembered_for_the_farm(enter: Enter, home: Path) -> None:
    visitor = enter("practice")
    at = bring(visitor, "odd.csv", MAPPED).json["at"]
    assert "Nothing can be taken" in seen(visitor, at)
    assert "1 of 1 row can be taken" in seen(visitor, f"{at}?{AS}")
    assert taken(visitor, at, AS).status_code == 200
    again = bring(visitor, "next.csv", MAPPED.replace("08-27", "08-30")).json["at"]
    assert "1 of 1 row can be taken" in seen(visitor, again)
    elsewhere = bring(visitor, "other.csv", MAPPED.replace("NORTHFOLD", "EASTHOLM")).json["at"]
    assert "Nothing can be taken" in seen(visitor, elsewhere)


def test_what_is_not_in_the_file_is_filled_in(enter: Enter, home: Path) -> None:
    visitor = enter("adviser")
    at = bring(visitor, "bare.csv", "ewe,score\n77,2.5\n").json["at"]
    assert "Not in any column" in seen(visitor, at)
    assert "is not a day" in seen(visitor, f"{at}?farm=NORTHFOLD&day=31/2/2026&group=Shearlings")
    assert taken(visitor, at, "farm=NORTHFOLD&day=30/08/2026&group=Shearlings").status_code == 200
    days = "select cast(scored_on as varchar) from ewe_history where farm = 'NORTHFOLD' and ewe = '77'"
    assert published(home, days) == [("2026-08-30",)]


def test_an_adviser_is_refused_a_file_that_names_another_farm(enter: Enter, home: Path) -> None:
    adviser = enter("adviser")
    for text in (OTHER, OWN + "EASTHOLM,2026-08-27,Shearlings,7,x\n"):
        at = bring(adviser, "mixed.csv", text).json["at"]
        assert "names EASTHOLM" in seen(adviser, at)
        answer = adviser.post(f"/intake{at}", data={"seen": "1"})
        assert (answer.status_code, "names EASTHOLM" in answer.text) == (403, True)
    given = bring(adviser, "bare.csv", "ewe,score\n7,2.5\n").json["at"]
    beyond = adviser.post(f"/intake{given}?farm=EASTHOLM&day=2026-08-30&group=G", data={"seen": "1"})
    assert beyond.status_code == 403
    assert published(home, "select 1 from import_file where file in ('mixed.csv', 'bare.csv')") == []


def test_an_adviser_cannot_replace_or_learn_of_anothers_file(enter: Enter, home: Path) -> None:
    adviser = enter("adviser")
    ((sha256,),) = published(home, "select sha256 from import_file where file = 'EASTHOLM-ewes.csv'")
    at = bring(adviser, "EASTHOLM-ewes.csv", OWN).json["at"]
    assert "What is this file?" not in seen(adviser, at)
    answer = adviser.post(f"/intake{at}?replaces={sha256}", data={"seen": "1"})
    assert (answer.status_code, "among those of your farms" in answer.text) == (409, True)


def test_the_counter_is_each_visitors_own(enter: Enter) -> None:
    practice, adviser = enter("practice"), enter("adviser")
    at = bring(practice, "secret.csv", OTHER).json["at"]
    assert "EASTHOLM" not in seen(adviser, at) and "No such file" in seen(adviser, at)
    assert adviser.post(f"/intake{at}", data={"seen": "1"}).status_code == 409


def test_a_member_brings_nothing(enter: Enter) -> None:
    member = enter("member")
    assert bring(member, "a.csv", OWN).status_code == 403
    assert "data-drop" not in seen(member, "/files")


@pytest.mark.parametrize("without", ["token", "origin"])
def test_only_our_own_page_can_send(without: str, enter: Enter) -> None:
    practice = enter("practice")
    headers = {"X-CSRFToken": practice.token(), "Sec-Fetch-Site": "same-origin"}
    headers |= {"X-CSRFToken": "guess"} if without == "token" else {"Sec-Fetch-Site": "cross-site"}
    assert practice.client.post("/intake/offer", headers=headers).status_code == 403


def test_what_is_too_large_is_refused_in_words(enter: Enter) -> None:
    answer = bring(enter("practice"), "big.csv", "x" * (LARGEST_BYTES + 1))
    assert (answer.status_code, "more than 8 MB" in answer.text) == (413, True)


@pytest.mark.parametrize("token", ["x" * 32, "../../practice", "%2e%2e", "a" * 31 + "/"])
def test_a_guessed_token_finds_nothing(token: str, enter: Enter) -> None:
    assert enter("practice").post(f"/intake/offer/{token}", data={"seen": "1"}).status_code in (404, 405, 409)


def test_while_somebody_imports_the_page_says_so_and_nothing_is_lost(
    enter: Enter, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pipelines.warehouse.looking.LOOK_WAIT_SECONDS", 0.1)
    practice = enter("practice")
    at = bring(practice, "august.csv", OWN).json["at"]
    with writer_lock(home / "writer.lock"):
        assert "Somebody else is writing at this moment" in seen(practice, at)
        answer = practice.post(f"/intake{at}", data={"seen": "1"}, follow_redirects=False)
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert taken(practice, at).status_code == 200


def test_a_full_disk_is_said_and_nothing_is_half_done(
    enter: Enter, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    practice = enter("practice")
    at = bring(practice, "august.csv", OWN).json["at"]
    state = state_of(seen(practice, at))

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("pipelines.warehouse.archive.flush_all", full)
        answer = practice.post(f"/intake{at}", data={"seen": state})
        assert (answer.status_code, "is full" in answer.text) == (507, True)
        patched.setattr(Path, "write_bytes", full)
        assert "make room on its disk" in bring(practice, "more.csv", OWN).text
    assert taken(practice, at).status_code == 200
    assert published(home, "select rows_accepted from import_file where file = 'august.csv'") == [(2,)]


def test_who_imported_what_is_on_record(enter: Enter, home: Path) -> None:
    adviser = enter("adviser")
    taken(adviser, bring(adviser, "august.csv", OWN).json["at"])
    lines = [json.loads(line) for line in (home / "audit.jsonl").read_text().splitlines()]
    (line,) = [line for line in lines if line["event"] == "import"]
    assert (line["who"], line["file"], line["farms"]) == ("rhys", "august.csv", "NORTHFOLD")


def test_a_phones_session_is_taken_at_once_and_replaced_only_when_said(enter: Enter, home: Path) -> None:
    adviser = enter("adviser")
    assert adviser.get("/intake/session").json == {"ready": True}
    tally = "farm,scored_on,group,score,count\nNORTHFOLD,2026-08-28,Gimmers,2,{}\n"
    first = bring(adviser, "s.csv", tally.format(3), "/intake/session")
    assert first.json == {"said": "Taken: 1 of 1 rows."}
    longer = bring(adviser, "s.csv", tally.format(5), "/intake/session")
    assert (longer.status_code, "changed 1" in longer.json["error"]) == (409, True)
    again = bring(adviser, "s.csv", tally.format(5), "/intake/session", replaces=longer.json["replaces"])
    assert again.status_code == 200
    query = "select ewes from score_distribution where farm = 'NORTHFOLD' and \"group\" = 'Gimmers'"
    assert published(home, query) == [(5,)]


def test_a_day_after_the_practices_today_is_refused_on_the_page(enter: Enter) -> None:
    practice = enter("practice")
    page = seen(practice, bring(practice, "late.csv", OWN.replace("08-27", "09-02")).json["at"])
    assert "0 of 2 rows can be taken" in page and "Import 0" not in page
