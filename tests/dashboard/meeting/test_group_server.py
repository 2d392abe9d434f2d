"""The group's page can give nothing but itself, whatever it is asked."""

import json

import pytest

from dashboard.meeting.serving import create_server

from ..browser.conftest import DESK, PHONE, served

ADDRESSES = (
    "/farm/QUIL01", "/farm/QUIL01?season=2026", "/compare", "/files", "/save/call-list.csv",
    "/save/ewes/QUIL01.csv", "/_dash-layout", "/_dash-dependencies", "/_dash-update-component",
    "/assets/mark.svg",
    "/static/../home/warehouse.duckdb", "/../published/current", "/%2e%2e/%2e%2e/etc/passwd",
    "/comparison.duckdb", "/releases/ledger.json", "/cards-private/", "/sign-in", "/scorers", "/group",
)  # fmt: skip
CALLBACK = {
    "output": "..main.children...", "outputs": [{"id": "_pages_content", "property": "children"}],
    "inputs": [{"id": "_pages_location", "property": "pathname", "value": "/farm/QUIL01"}],
    "changedPropIds": ["_pages_location.pathname"],
}  # fmt: skip


@pytest.fixture
def client(released_once):
    return create_server(released_once).test_client()


def test_the_page_is_there(client):
    answer = client.get("/")
    assert answer.status_code == 200
    assert "Our ewes side by side, 2026" in answer.get_data(as_text=True)


@pytest.mark.parametrize("address", ADDRESSES)
def test_no_farm_and_no_warehouse_by_any_address(address, client):
    answer = client.get(address)
    assert answer.status_code == 404
    assert b"QUIL01" not in answer.data


@pytest.mark.parametrize("address", ["/", "/_dash-update-component", "/farm/QUIL01"])
@pytest.mark.parametrize("method", ["post", "put", "delete", "patch"])
def test_no_crafted_callback_is_answered(address, method, client):
    answer = getattr(client, method)(address, json=CALLBACK)
    assert answer.status_code in (404, 405)
    assert b"Quillow" not in answer.data


def test_the_server_knows_no_data_folder_and_no_other_address(released_once):
    server = create_server(released_once)
    assert [rule.rule for rule in server.url_map.iter_rules()] == ["/"]
    assert server.extensions == {}


@pytest.fixture
def alone(released_once, tmp_path):
    """The command in a process whose home holds nothing, on a copy of the file."""
    empty = tmp_path / "elsewhere"
    empty.mkdir()
    copy = empty / "given.duckdb"
    copy.write_bytes(released_once.read_bytes())
    with served("--release", str(copy), folder=empty, home=empty) as address:
        yield address
    # gunicorn keeps a socket of its own; nothing of a practice was made
    assert {path.name for path in empty.iterdir()} - {".gunicorn"} == {"given.duckdb"}


@pytest.mark.browser
def test_a_browser_reaches_nothing_but_the_page(alone, chromium):
    asked, complaints = set(), []
    for width, height in (DESK, PHONE):
        page = chromium.new_page(viewport={"width": width, "height": height})
        page.on("request", lambda request: asked.add(request.url))
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.goto(alone)
        assert page.inner_text("h1") == "Our ewes side by side, 2026"
        assert page.evaluate("document.documentElement.scrollWidth") == width
    assert asked == {f"{alone}/"} and complaints == []
    for address in ("/farm/QUIL01", "/compare", "/_dash-layout"):
        answer = page.goto(alone + address)
        assert answer is not None and answer.status == 404
        assert "Quillow" not in page.content()
    status = page.request.post(
        f"{alone}/_dash-update-component",
        data=json.dumps(CALLBACK),
        headers={"Content-Type": "application/json"},
    ).status
    assert status in (404, 405)
    page.close()
