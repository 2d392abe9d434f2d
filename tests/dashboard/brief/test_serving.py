from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import flask
import pytest
from flask.testing import FlaskClient
from icalendar import Calendar
from pypdf import PdfReader

import demo_farms
from dashboard import access, data
from dashboard.brief.serving import NAMES, blueprint
from dashboard.guard.doors import Doors
from pipelines import queries
from pipelines.queries import Reader
from pipelines.settings import Settings, load
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

REGISTER = "farm,name,system,ewes,rams_in,weaned_on\nH/1,High <Sallow>,hill,120,2026-11-03,2026-07-24\n"
SCORES = "farm,scored_on,group,ewe,score\n" + "".join(
    f"H/1,2026-08-14,Top hill,8260998120{number:05d},2\n" for number in range(1, 11)
)


def served(settings: Settings) -> FlaskClient:
    """A server with these addresses alone, asked by the machine's own user."""
    server = flask.Flask(__name__)
    server.before_request(lambda: setattr(flask.g, "visitor", access.OWNER))
    access.attach(server, Doors(settings.home))
    data.attach(server, settings)
    server.register_blueprint(blueprint(settings))
    return server.test_client()


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    files = tmp_path_factory.mktemp("files")
    (files / "register.csv").write_text(REGISTER)
    (files / "scores.csv").write_text(SCORES)
    settings = load(tmp_path_factory.mktemp("home"), date(2026, 8, 20))
    import_paths([files], settings)
    return served(settings)


@pytest.mark.parametrize("name", NAMES)
def test_everything_printed_has_an_address(client: FlaskClient, name: str) -> None:
    answer = client.get(f"/print/H/1/{name}")
    assert (answer.status_code, len(answer.data) > 100) == (200, True)
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'


def test_a_stick_reader_gets_plain_numbers(client: FlaskClient) -> None:
    assert client.get("/print/H/1/stick-reader.txt").data.splitlines()[0] == b"826099812000001"


def test_dates_can_be_read_by_a_calendar(client: FlaskClient) -> None:
    events = Calendar.from_ical(client.get("/print/H/1/dates.ics").data).walk("VEVENT")
    assert "High <Sallow>: Rams in" in {str(event["SUMMARY"]) for event in events}


def test_an_unknown_farm_or_name_is_not_there(client: FlaskClient) -> None:
    assert client.get("/print/X9/brief.pdf").status_code == 404
    assert client.get("/print/H/1/../../data.py").status_code == 404
    assert client.get("/print/H/1/brief.pdf?season=1999").status_code == 404


def test_a_farm_outside_the_visitors_scope_is_not_there(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(access, "scope", lambda: frozenset({"L02"}))
    for name in NAMES:
        answer = client.get(f"/print/H/1/{name}")
        assert (answer.status_code, b"Sallow" in answer.data) == (404, False)


def test_nothing_imported_yet_is_said(tmp_path: Path) -> None:
    settings = load(tmp_path, date(2026, 8, 20))
    assert served(settings).get("/print/H01/brief.pdf").status_code == 404
    assert served(settings).get("/print/dates.ics").status_code == 404


def test_every_calendar_of_the_demo_can_be_read(demo_home: Path) -> None:
    client = served(load(demo_home, demo_farms.AS_OF))
    whole = {str(event["UID"]): event for event in events_of(client, "/print/dates.ics")}
    farms = queries.farms(Reader(Snapshot(demo_home)))["code"]
    each = [event for farm in farms for event in events_of(client, f"/print/{farm}/dates.ics")]
    assert len(farms) == 26 and len(each) >= 26 * 5
    # the same event with the same content, whether it came with its farm or with all of them
    assert {str(event["UID"]): event.to_ical() for event in each} == {
        uid: event.to_ical() for uid, event in whole.items()
    }
    assert {event.decoded("DTSTAMP").utcoffset() for event in each} == {timedelta(0)}


def events_of(client: FlaskClient, address: str) -> list[Any]:
    answer = client.get(address)
    assert (answer.status_code, answer.mimetype) == (200, "text/calendar")
    assert max(len(line) for line in answer.data.split(b"\r\n")) <= 75  # RFC 5545, 3.1
    return list(Calendar.from_ical(answer.data).walk("VEVENT"))


def test_a_later_import_the_same_day_moves_its_dates_and_keeps_their_uids(tmp_path: Path) -> None:
    settings, files = load(tmp_path / "home", date(2026, 8, 20)), tmp_path / "files"
    files.mkdir()
    client = served(settings)
    found = []
    for number, rams_in in enumerate(("2026-11-03", "2026-11-10")):
        (files / f"register-{number}.csv").write_text(REGISTER.replace("2026-11-03", rams_in))
        import_paths([files], settings)
        found.append({str(event["UID"]): event for event in events_of(client, "/print/H/1/dates.ics")})
    before, after = found
    assert before.keys() == after.keys()
    for uid, event in before.items():
        assert int(event["SEQUENCE"]) < int(after[uid]["SEQUENCE"])
    every = [event for events in found for event in events.values()]
    assert [str(event.decoded("DTSTART")) for event in every if "Rams in" in event["SUMMARY"]] == [
        "2026-11-03",
        "2026-11-10",
    ]


def test_the_work_sheet_is_for_what_was_chosen(client: FlaskClient) -> None:
    pages = PdfReader(BytesIO(client.get("/print/H/1/work-sheet.pdf?weight=62.5&prevalence=20").data)).pages
    said = " ".join(" ".join(page.extract_text() for page in pages).replace("\u00a0", " ").split())
    assert "ewes of 62.5 kg" in said and "a condition that 20 % of them have" in said
