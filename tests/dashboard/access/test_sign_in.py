"""Coming in, staying in and being kept out."""

import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from dashboard.accounts import guesses, passwords, sessions, store
from tests.dashboard.access.attacks import many_guesses
from tests.dashboard.access.practice import ACCOUNTS, PASSWORD, Visitor

Lines = Callable[[], Iterable[dict[str, str]]]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[float], None]:
    """Moves the time that sessions and guesses go by."""
    true_time = time.time

    def move(seconds: float) -> None:
        for module in (sessions, guesses):
            monkeypatch.setattr(module.time, "time", lambda: true_time() + seconds)

    return move


def test_signing_in_leads_back_to_the_page_that_was_asked_for(new_visitor: Visitor) -> None:
    asked = new_visitor.get("/farm/H01?season=2026")
    assert asked.headers["Location"] == "/sign-in?next=%2Ffarm%2FH01%3Fseason%3D2026"
    answer = new_visitor.sign_in("morag", next="/farm/H01?season=2026")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/farm/H01?season=2026")
    assert new_visitor.get("/farm/H01").status_code == 200


@pytest.mark.parametrize(
    "address", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "/\n/x", "x", ""]
)
def test_signing_in_never_leads_elsewhere(address: str, new_visitor: Visitor) -> None:
    assert new_visitor.sign_in("morag", next=address).headers["Location"] == "/"


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(new_visitor: Visitor) -> None:
    known, unknown = new_visitor.sign_in("morag", "wrong"), new_visitor.sign_in("nobody", "wrong")
    assert known.status_code == unknown.status_code == 401
    assert known.text == unknown.text and "do not fit together" in known.text


def test_an_unknown_name_is_hashed_for_too(full_hashing: None, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = passwords.hashed(PASSWORD)
    assert passwords.fits(kept, PASSWORD) and not passwords.fits(kept, "wrong")
    assert not passwords.fits(None, "wrong")

    def least(kept: str | None) -> float:
        times = []
        for _ in range(5):
            began = time.process_time()
            passwords.fits(kept, "wrong")
            times.append(time.process_time() - began)
        return min(times)

    assert 0.5 < least(None) / least(kept) < 2


def test_guesses_of_an_account_are_refused_before_hashing(
    new_visitor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashed = []
    monkeypatch.setattr(passwords, "fits", lambda kept, password: bool(hashed.append(password)))
    statuses = [answer.status_code for answer in many_guesses(new_visitor, "morag", 200)]
    assert statuses == [401] * guesses.PER_ACCOUNT + [429] * (200 - guesses.PER_ACCOUNT)
    assert len(hashed) == guesses.PER_ACCOUNT


def test_guesses_from_an_address_are_refused_whatever_the_names(
    new_visitor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "fits", lambda kept, password: False)
    statuses = [new_visitor.sign_in(f"name{number}", "wrong").status_code for number in range(60)]
    assert statuses.count(401) == guesses.PER_ADDRESS and set(statuses[guesses.PER_ADDRESS :]) == {429}


def test_the_right_password_waits_out_the_limit_too(
    new_visitor: Visitor, clock: Callable[[float], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "fits", lambda kept, password: password == PASSWORD)
    many_guesses(new_visitor, "morag", guesses.PER_ACCOUNT)
    refused = new_visitor.sign_in("morag")
    assert refused.status_code == 429 and "Wait 15 minutes" in refused.text
    assert 0 < int(refused.headers["Retry-After"]) <= guesses.WINDOW_SECONDS
    clock(guesses.WINDOW_SECONDS + 1)
    assert new_visitor.sign_in("morag").status_code == 303


def test_a_new_password_ends_the_waiting_and_open_sessions(new_home: Path, new_visitor: Visitor) -> None:
    assert new_visitor.sign_in("morag").status_code == 303
    for _ in range(guesses.PER_ACCOUNT):
        guesses.count(new_home, "morag", "192.0.2.1")
    store.set_password(new_home, "morag", "another eighty ewes")
    assert new_visitor.get("/").status_code == 302
    assert new_visitor.sign_in("morag", "another eighty ewes").status_code == 303


def test_ipv6_neighbours_count_as_one_address() -> None:
    assert guesses.network_of("2001:db8::1") == guesses.network_of("2001:db8::ffff")
    assert guesses.network_of("2001:db8:0:1::1") != guesses.network_of("2001:db8::1")
    assert guesses.network_of("::ffff:192.0.2.1") == "192.0.2.1"


def test_signing_in_begins_a_new_session(new_visitor: Visitor) -> None:
    new_visitor.get("/sign-in")
    before = new_visitor.token()
    new_visitor.sign_in("morag")
    new_visitor.get("/")
    assert new_visitor.token() != before


def test_an_idle_session_ends(new_visitor: Visitor, clock: Callable[[float], None]) -> None:
    new_visitor.sign_in("morag")
    clock(sessions.IDLE_SECONDS - 10)
    assert new_visitor.get("/").status_code == 200
    clock(2 * sessions.IDLE_SECONDS - 20)
    assert new_visitor.get("/").status_code == 200
    clock(3 * sessions.IDLE_SECONDS + 10)
    assert new_visitor.get("/").status_code == 302


def test_a_session_ends_after_a_working_day_however_busy(
    new_visitor: Visitor, clock: Callable[[float], None]
) -> None:
    new_visitor.sign_in("morag")
    for hour in range(1, 12):
        clock(hour * 3_600)
        assert new_visitor.get("/").status_code == 200
    clock(sessions.LONGEST_SECONDS + 1)
    assert new_visitor.get("/").status_code == 302


def test_a_removed_account_is_out_at_once(new_home: Path, new_visitor: Visitor) -> None:
    store.add(new_home, ACCOUNTS["adviser"], PASSWORD)
    new_visitor.sign_in("rhys")
    assert new_visitor.get("/").status_code == 200
    store.remove(new_home, "rhys")
    assert new_visitor.get("/").status_code == 302


def test_the_session_cookie_is_out_of_reach_of_scripts_and_other_sites(new_visitor: Visitor) -> None:
    cookies = new_visitor.sign_in("morag").headers.getlist("Set-Cookie")
    (session,) = [cookie for cookie in cookies if cookie.startswith("tupping=")]
    assert "HttpOnly" in session and "SameSite=Lax" in session


def test_every_coming_and_refusal_is_on_record(new_visitor: Visitor, audit: Lines) -> None:
    new_visitor.sign_in("morag", "wrong")
    new_visitor.sign_in("morag")
    new_visitor.get("/")
    new_visitor.get("/save/call-list.csv")
    new_visitor.post("/sign-out")
    kept = [(line["event"], line["who"], line["where"]) for line in audit()]
    assert [event for event, _, _ in kept] == ["sign-in refused", "signed in", "export", "signed out"]
    assert {(who, where) for _, who, where in kept} == {("morag", "127.0.0.1")}
    assert not any(PASSWORD in str(line) or "wrong" in str(line) for line in audit())
