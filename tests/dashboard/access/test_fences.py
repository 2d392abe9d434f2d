"""Headers, health, and to whom the server is open."""

import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest
from dash import Dash

from dashboard.accounts import store
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from dashboard.server import Address
from pipelines.settings import Settings
from tests.dashboard.access.practice import ACCOUNTS, AS_OF, PASSWORD, Visitor


def policy(answer: object) -> dict[str, list[str]]:
    parts = answer.headers["Content-Security-Policy"].split("; ")  # type: ignore[attr-defined]
    return {part.split()[0]: part.split()[1:] for part in parts}


@pytest.mark.parametrize("address", ["/sign-in", "/health", "/bootstrap.min.css", "/nowhere", "/assets/x"])
def test_every_answer_is_fenced(address: str, visitor: Visitor) -> None:
    answer = visitor.get(address)
    allowed = policy(answer)
    assert allowed["default-src"] == allowed["frame-ancestors"] == allowed["base-uri"] == ["'none'"]
    assert allowed["script-src"] == allowed["connect-src"] == allowed["form-action"] == ["'self'"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"


def test_scripts_in_a_page_are_the_ones_whose_hashes_the_policy_names(app: Dash) -> None:
    entered = Visitor(app.server.test_client())
    entered.sign_in("morag")
    answer = entered.get("/")
    scripts = re.sub(r"<script[^>]*json[^>]*>.*?</script>", "", answer.text)  # data that nothing runs
    inline = re.findall(r"<script[^>]*>([^<]+)</script>", scripts)
    named = policy(answer)["script-src"][1:]
    assert inline
    assert {f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" for text in inline} <= set(named)
    assert not [source for source in policy(answer)["script-src"] if "unsafe" in source]


def test_figures_are_not_kept_by_the_browser_and_programs_may_be(app: Dash) -> None:
    entered = Visitor(app.server.test_client())
    entered.sign_in("morag")
    for address in ("/", "/save/call-list.csv", "/_dash-layout", "/account"):
        assert entered.get(address).headers["Cache-Control"] == "no-store"
    style = entered.get("/bootstrap.min.css")
    assert "max-age" in style.headers["Cache-Control"] and "Set-Cookie" not in style.headers


def test_transport_security_is_asked_for_behind_tls_alone(tmp_path: Path) -> None:
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    client = create_app(Settings(tmp_path), Doors(tmp_path, proxy=True)).server.test_client()
    told = {
        "X-Forwarded-Proto": "https",
        "X-Forwarded-Host": "flocks.example",
        "X-Forwarded-For": "192.0.2.8",
    }
    secure = client.get("/sign-in", headers=told)
    assert secure.headers["Strict-Transport-Security"].startswith("max-age=")
    assert all("Secure" in cookie for cookie in secure.headers.getlist("Set-Cookie"))
    assert any(cookie.startswith("__Host-tupping=") for cookie in secure.headers.getlist("Set-Cookie"))
    assert "Strict-Transport-Security" not in client.get("/sign-in").headers


def test_what_a_proxy_would_say_is_not_believed_without_one(visitor: Visitor) -> None:
    told = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.8"}
    assert "Strict-Transport-Security" not in visitor.get("/sign-in", headers=told).headers


def test_health_tells_state_and_nothing_else(visitor: Visitor, tmp_path: Path) -> None:
    answer = visitor.get("/health")
    assert answer.status_code == 200
    assert answer.json == {"status": "ok", "generation": 1, "as_of": AS_OF.isoformat()}
    empty = create_app(Settings(tmp_path)).server.test_client().get("/health")
    assert empty.json == {"status": "ok", "generation": None, "as_of": None}


def test_health_says_when_the_tables_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "published").mkdir()
    (tmp_path / "published" / "current").write_text('{"generation": 9, "state": ""}')
    answer = create_app(Settings(tmp_path)).server.test_client().get("/health")
    assert (answer.status_code, answer.json["status"]) == (503, "tables cannot be read")


def test_the_machines_own_user_needs_no_account_until_there_is_one(tmp_path: Path) -> None:
    client = create_app(Settings(tmp_path)).server.test_client()
    assert client.get("/").status_code == 200
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    assert client.get("/").status_code == 302


def test_a_server_for_others_stays_shut_when_the_last_account_goes(tmp_path: Path) -> None:
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    client = create_app(Settings(tmp_path), Doors(tmp_path, others=True)).server.test_client()
    store.remove(tmp_path, "morag")
    assert client.get("/").status_code == 302


@pytest.mark.parametrize(
    "host, alone",
    [("127.0.0.1", True), ("::1", True), ("localhost", True), ("127.0.0.2", True), ("0.0.0.0", False),
     ("::", False), ("192.0.2.7", False), ("", False), ("practice.example", False)],
)  # fmt: skip
def test_only_loopback_counts_as_this_machine(host: str, alone: bool) -> None:
    assert Address(host, 8_050).this_machine_only() == alone
