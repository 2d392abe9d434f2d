"""Members who sign in see what was released to their own groups, and nothing beyond it."""

import base64
import io
import json
import zipfile
from pathlib import Path

import pytest

from dashboard.accounts import store
from dashboard.accounts.account import Account
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from pipelines.release import read_ledger
from pipelines.release.ledger import histories

from ..access.practice import PASSWORD, Visitor, token_in
from ..access.walk import everything, readable
from .conftest import GROUP, found_in

OTHER = "Midwater"
ACCOUNTS = (
    Account("morag", "practice"),
    Account("rhys", "adviser", farms=frozenset({"QUIL01"})),
    Account("isla", "member", groups=frozenset({GROUP})),
    Account("ewan", "member", groups=frozenset({OTHER})),
)


@pytest.fixture
def app(practice):
    for account in ACCOUNTS:
        store.add(practice.home, account, PASSWORD)
    return create_app(practice, Doors(practice.home, others=True))


@pytest.fixture
def enter(app):
    """Somebody signed in, at the page they are led to."""

    def come_in(name):
        visitor = Visitor(app.server.test_client())
        assert visitor.sign_in(name).status_code == 303
        visitor.get("/")
        return visitor

    return come_in


@pytest.fixture
def audited(practice):
    """Events of the audit record with who, and the group or release concerned."""

    def lines(event):
        told = map(json.loads, (practice.home / "audit.jsonl").read_text().splitlines())
        return [(one["who"], one["group"]) for one in told if one["event"] == event]

    return lines


def addresses(done) -> tuple[str, str]:
    return f"/release/{done.release}", f"/release/{done.release}/paper.pdf"


def test_a_member_sees_the_groups_release_as_it_stands_in_the_folder(enter, release, audited):
    done, member = release(), enter("isla")
    files = {path.suffix: path.read_bytes() for path in done.files}
    page, paper = addresses(done)
    assert member.get("/compare").headers["Location"] == "/release"
    assert page in member.get("/release").text
    assert member.get(page).data == files[".html"]
    assert member.get(paper).data == files[".pdf"]
    assert audited("open release") == [("isla", GROUP)] * 2


def test_nothing_is_opened_but_by_the_group_and_the_practice(enter, release):
    page, paper = addresses(release())
    for name, status in (("ewan", 404), ("rhys", 404), ("morag", 200)):
        visitor = enter(name)
        assert [visitor.get(page).status_code, visitor.get(paper).status_code] == [status] * 2
    assert "There is no comparison for you yet" in enter("ewan").get("/release").text


@pytest.mark.parametrize("name", ["ledger", "..%2fwarehouse", "..%2Freleases%2Fledger", "%2e%2e"])
def test_no_address_leads_to_another_file(name, enter, release):
    release()
    answer = enter("isla").get(f"/release/{name}")
    assert answer.status_code == 404 or answer.headers["Location"] == "/release"


def test_no_byte_of_any_answer_to_a_member_names_a_farm(app, enter, release, secrets):
    done, member = release(), enter("isla")
    for address in ("/release", *addresses(done)):
        assert found_in(readable(member.get(address)).encode(), secrets) == {GROUP} & {
            GROUP if address == "/release" else ""
        }
    codes = ["QUIL01", "TARV10", done.release]
    told = {
        answer.asked: found_in(answer.text.encode(), secrets)
        for answer in everything(app, member, codes, codes)
    }
    beyond = {asked: words - {GROUP} for asked, words in told.items() if words - {GROUP}}
    assert {asked: words for asked, words in beyond.items() if not all(word in asked for word in words)} == {}


def test_the_practice_makes_a_release_from_its_page_and_gets_every_file(enter, audited, practice):
    morag = enter("morag")
    answer = morag.post("/release", data={"group": GROUP})
    assert "7 private cards" in answer.json["said"]
    with zipfile.ZipFile(io.BytesIO(base64.b64decode(answer.json["keep"]["content"]))) as packed:
        names = {Path(name) for name in packed.namelist() if not name.endswith("/")}
    assert len([name for name in names if name.parts[0] == "cards-private"]) == 7
    assert {name.suffix for name in names if len(name.parts) == 1} == {".duckdb", ".html", ".pdf"}
    assert audited("release") == [("morag", GROUP)]
    (entry,) = read_ledger(practice.home / "releases" / "ledger.json")
    assert f"/release/{entry.release}" in enter("isla").get("/release").text


def test_only_the_practice_makes_a_release(enter, practice):
    for name in ("rhys", "isla"):
        assert enter(name).post("/release", data={"group": GROUP}).status_code == 403
    assert not (practice.home / "releases" / "ledger.json").exists()


def test_a_release_that_is_not_safe_is_refused_in_words(enter, app, practice):
    morag = enter("morag")
    app.server.extensions["tupping-settings"] = type(practice)(practice.home, minimum_release_farms=8)
    answer = morag.post("/release", data={"group": GROUP})
    assert answer.status_code == 409 and "needs at least 8 farms, and the group has 7" in answer.text
    assert morag.post("/release", data={"group": "Nowhere"}).status_code == 409


def test_a_release_withdrawn_is_gone_for_members_and_counts_for_later_ones(enter, release, practice, audited):
    done = release()
    before = read_ledger(practice.home / "releases" / "ledger.json")
    morag, (page, paper) = enter("morag"), addresses(done)
    answer = morag.post(f"{page}/withdraw")
    assert answer.json == {"at": "/group?group=Marl+Vale"}  # the page drawn anew says what became of it
    member = enter("isla")
    assert [member.get(address).status_code for address in (page, paper)] == [404, 404]
    assert page not in member.get("/release").text and morag.get(page).status_code == 200
    after = read_ledger(practice.home / "releases" / "ledger.json")
    assert histories(after) == histories(before) and len(after) == 1
    assert "withdrawn: members do not see it" in morag.get("/release").text
    assert morag.post(f"{page}/withdraw", data={"shown": "yes"}).status_code == 200
    assert member.get(page).status_code == 200


def test_only_the_practice_withdraws_a_release_with_its_own_page_and_on_record(enter, release, practice):
    page, _ = addresses(release())
    for name in ("rhys", "isla"):
        assert enter(name).post(f"{page}/withdraw").status_code == 403
    morag = enter("morag")
    forged = morag.client.post(f"{page}/withdraw", headers={"Sec-Fetch-Site": "cross-site"})
    assert forged.status_code == 403 and enter("isla").get(page).status_code == 200
    assert morag.post("/release/none/withdraw").status_code == 409
    morag.post(f"{page}/withdraw")
    told = [json.loads(line) for line in (practice.home / "audit.jsonl").read_text().splitlines()]
    events = [(one["who"], one["release"]) for one in told if one["event"] == "withdraw release"]
    assert ("morag", page.rsplit("/", 1)[1]) in events and {who for who, _ in events} == {"morag"}


def test_a_release_whose_file_is_not_in_the_ledger_is_shown_to_nobody(enter, release, practice):
    done = release()
    (practice.home / "releases" / "ledger.json").write_text("[]")
    assert enter("isla").get(addresses(done)[0]).status_code == 404


def test_a_release_of_an_earlier_version_is_told_of_in_words(enter, release, practice):
    page, paper = addresses(release())
    kept, member = practice.home / "releases" / f"{page.rsplit('/', 1)[1]}.duckdb", enter("isla")
    kept.write_bytes(b"of another form")
    for address in (page, paper):
        answer = member.get(address)
        assert answer.status_code == 410 and "made by an earlier version" in answer.text
        assert str(practice.home) not in answer.text
    kept.unlink()
    listed = member.get("/release").text
    assert "made by an earlier version" in listed and page not in listed and GROUP in listed


def test_what_is_kept_for_members_is_readable_by_its_owner_alone(release, practice):
    kept = practice.home / "releases" / f"{release().release}.duckdb"
    assert kept.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("name", ["isla", "rhys"])
def test_whoever_is_signed_in_can_hand_the_machine_to_somebody_else(name, enter):
    visitor = enter(name)
    page = visitor.get("/sign-in")
    form = {"csrf_token": token_in(page.text), "name": "morag", "password": PASSWORD}
    assert visitor.client.post("/sign-in", data=form, headers=visitor.headers).status_code == 303
    assert "morag" in visitor.get("/account").text
