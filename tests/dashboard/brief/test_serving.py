from datetime import date
from pathlib import Path

import flask
import pytest
from flask.testing import FlaskClient
from icalendar import Calendar

from dashboard import access, data
from dashboard.brief.serving import NAMES, blueprint
from dashboard.guard.doors import Doors
from pipelines.settings import Settings, load
from pipelines.warehouse.importing import import_paths

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
