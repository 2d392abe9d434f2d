"""The application's answers without a browser: downloads, compression, and what an empty folder says."""

import csv
import gzip
import io
import re
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from flask.testing import FlaskClient
from gunicorn.config import Config

import demo_farms
from dashboard import data
from dashboard.app import create_app
from dashboard.data import season
from dashboard.downloads import FARM, PRACTICE, plain
from dashboard.server import Address, gunicorn_options
from dashboard.views.state import CompareState, FarmState, FilesState, FlocksState
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.snapshot import Snapshot

FIRST_PAGE_LIMIT = 400_000  # bytes besides plotly, as promised


@pytest.fixture(scope="module")
def client(demo_home: Path) -> FlaskClient:
    client: FlaskClient = create_app(Settings(demo_home, demo_farms.AS_OF)).server.test_client()
    return client


@pytest.fixture
def snapshot(demo_home: Path) -> Iterator[Snapshot]:
    snapshot = Snapshot(demo_home)
    yield snapshot
    snapshot.close()


def rows(client: FlaskClient, address: str) -> list[dict[str, str]]:
    answer = client.get(address)
    assert answer.status_code == 200
    return list(csv.DictReader(io.StringIO(answer.get_data(as_text=True))))


@pytest.mark.parametrize("table", PRACTICE)
def test_every_table_of_the_practice_can_be_kept(table: str, client: FlaskClient) -> None:
    assert rows(client, f"/save/{table}.csv")


@pytest.mark.parametrize("table", FARM)
def test_every_table_of_a_farm_can_be_kept(table: str, client: FlaskClient) -> None:
    assert {row["farm"] for row in rows(client, f"/save/{table}/WEXN13.csv")} == {"WEXN13"}


def test_a_kept_table_follows_the_filters_of_its_link(client: FlaskClient) -> None:
    kept = rows(client, "/save/call-list.csv?system=hill")
    assert {row["system"] for row in kept} == {"hill"}


@pytest.mark.parametrize(
    "address", ["/save/secret.csv", "/save/ewes/NOSUCH.csv", "/save/../WEXN13.csv", "/save/x/WEXN13.csv"]
)
def test_a_table_that_is_not_there_is_not_found(address: str, client: FlaskClient) -> None:
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("cell", ["=cmd()", "+1", "-1", "@x", "\tx", "3-4", "007"])
def test_a_cell_is_never_read_as_a_formula_a_number_or_a_date(cell: str) -> None:
    assert plain("group", cell) == f"group {cell}"


def test_a_kept_tag_is_written_as_it_is_printed(client: FlaskClient) -> None:
    tags = {row["ewe"] for row in rows(client, "/save/ewes/WEXN13.csv")}
    assert tags and not [tag for tag in tags if tag.isdigit()]


def test_a_tag_keeps_its_digits_in_a_spreadsheet(client: FlaskClient) -> None:
    """As printed on a UK tag: no spreadsheet takes 'UK 0 990013 00066' for a number."""
    ewes = [row["ewe"] for row in rows(client, "/save/ewes/WEXN13.csv")]
    assert ewes and all(re.fullmatch(r"UK 0 \d{6} \d{5}", ewe) for ewe in ewes)


def test_numbers_and_plain_text_are_kept_as_they_are() -> None:
    assert [plain("name", cell) for cell in (-1.5, "High Lathe", None)] == [-1.5, "High Lathe", None]


def test_answers_are_compressed_for_browsers_that_take_it(client: FlaskClient) -> None:
    packed = client.get("/bootstrap.min.css", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == client.get("/bootstrap.min.css").data


def test_the_first_page_is_light_besides_plotly(client: FlaskClient) -> None:
    """What the browser fetches before any picture: the page, its styles and scripts, compressed."""
    page = client.get("/").get_data(as_text=True)
    parts = {part for part in re.findall(r'(?:src|href)="(/[^"]+)"', page) if "plotly" not in part}
    assert any("dash_renderer" in part for part in parts)
    packed = [client.get(part, headers={"Accept-Encoding": "gzip"}) for part in ("/", *sorted(parts))]
    assert sum(len(answer.data) for answer in packed) < FIRST_PAGE_LIMIT


def test_the_page_is_in_british_english_and_names_no_other_host(client: FlaskClient) -> None:
    page = client.get("/").get_data(as_text=True)
    assert '<html lang="en-GB">' in page
    assert "://" not in page


def test_a_reader_of_some_farms_sees_no_other(snapshot: Snapshot) -> None:
    reader = Reader(snapshot, frozenset({"WEXN13"}))
    flocks = data.flocks(reader, FlocksState())
    assert flocks is not None and set(flocks.calls["farm"]) == {"WEXN13"}
    assert data.farm(reader, "BRIN04", FarmState()) is None
    shown = data.compare(reader, CompareState(system="upland"))
    assert shown is not None and set(shown.sessions["farm"]) == {"WEXN13"}
    files = data.files(reader, FilesState())
    assert files is not None and not files.files["file"].str.startswith("BRIN04").any()


def test_an_empty_folder_gives_empty_pages_instead_of_errors(tmp_path: Path) -> None:
    reader = Reader(Snapshot(tmp_path))
    assert data.flocks(reader, FlocksState()) is None
    assert data.farm(reader, "F1", FarmState()) is None
    assert data.compare(reader, CompareState()) is None
    assert data.scorers(reader) is None
    assert data.files(reader, FilesState()) is None


def test_control_limits_close_in_as_more_ewes_are_scored(snapshot: Snapshot) -> None:
    flocks = data.flocks(Reader(snapshot), FlocksState())
    assert flocks is not None
    assert flocks.limits["low_95"].is_monotonic_increasing
    assert flocks.limits["high_998"].is_monotonic_decreasing


def test_the_call_list_comes_page_by_page_and_a_page_beyond_is_the_last(
    snapshot: Snapshot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(season, "PAGE_ROWS", 10)
    pages = [data.flocks(Reader(snapshot), FlocksState(page=page)) for page in (1, 2, 3, 99)]
    assert [list(page.calls["urgency"])[:1] for page in pages if page] == [[1], [11], [21], [21]]
    assert {page.found for page in pages if page} == {26}


def test_past_seasons_hold_one_session_each_before_the_rams(snapshot: Snapshot) -> None:
    page = data.farm(Reader(snapshot), "WEXN13", FarmState())
    assert page is not None
    assert list(page.past["season"]) == [2026, 2025, 2024]
    assert set(page.past["group"]) == {"ALL"}


def test_a_process_that_has_written_no_page_serves_the_scripts_of_one(
    client: FlaskClient, demo_home: Path
) -> None:
    scripts = re.findall(r'src="(/_dash-component-suites/[^"]+)"', client.get("/").text)
    fresh = create_app(Settings(demo_home, demo_farms.AS_OF)).server.test_client()
    assert len(scripts) > 3
    assert {fresh.get(script).status_code for script in scripts} == {200}


def test_open_pages_that_ask_for_health_do_not_wear_a_process_out() -> None:
    """gunicorn counts a request right after its hook `pre_request`; what is left there is what counts."""
    config = Config()
    config.set("pre_request", gunicorn_options(Address("127.0.0.1", 8000))["pre_request"])
    worker = SimpleNamespace(nr=7)
    for path in ("/health", "/health", "/"):
        config.pre_request(worker, SimpleNamespace(path=path))
        worker.nr += 1
    assert worker.nr == 8
