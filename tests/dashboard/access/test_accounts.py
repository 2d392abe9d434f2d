"""Adding, changing and removing accounts, in the store and as typed."""

import shutil
import sqlite3
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from dashboard.accounts import audit, passwords, secret, store
from dashboard.accounts.account import Account, AccountError
from dashboard.cli import main
from pipelines.warehouse.places import Places
from tests.dashboard.access.practice import ACCOUNTS, PASSWORD


def typed(home: Path, *words: str, passwords: str = "") -> tuple[int, str]:
    said = CliRunner().invoke(main, ["account", *words, "--home", str(home)], input=passwords)
    return said.exit_code, said.output


def test_an_account_comes_back_with_its_farms(tmp_path: Path) -> None:
    store.add(tmp_path, Account("Rhys", "adviser", farms=frozenset({"H01", "H 2"})), PASSWORD)
    account, _ = store.find(tmp_path, "rHYS") or pytest.fail("not found")
    assert (account.name, account.role, account.farms) == ("Rhys", "adviser", {"H01", "H 2"})


def test_no_password_is_kept(tmp_path: Path) -> None:
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    content = (tmp_path / "accounts.sqlite").read_bytes()
    assert PASSWORD.encode() not in content and b"$argon2id$" in content


def test_a_name_is_taken_however_it_is_capitalised(tmp_path: Path) -> None:
    store.add(tmp_path, Account("morag", "practice"), PASSWORD)
    with pytest.raises(AccountError, match="there is an account MORAG already"):
        store.add(tmp_path, Account("MORAG", "practice"), PASSWORD)


@pytest.mark.parametrize("password", ["short", "aaaaaaaaaaaaaaaa", "morag and her ewes", "x1y2" * 65])
def test_a_password_that_is_easy_or_endless_is_refused(password: str, tmp_path: Path) -> None:
    with pytest.raises(AccountError, match="the password is too"):
        store.add(tmp_path, Account("morag", "practice"), password)


@pytest.mark.parametrize(
    "role, farms, groups",
    [("adviser", "", ""), ("practice", "H01", ""), ("member", "H01", ""), ("member", "", "")],
)
def test_a_role_without_what_it_needs_is_refused(role: str, farms: str, groups: str, tmp_path: Path) -> None:
    status, said = typed(tmp_path, "add", "rhys", "--role", role, "--farms", farms, "--groups", groups)
    assert status == 2 and ("--farms" in said or "--groups" in said)


def test_the_last_practice_account_stays_while_there_are_others(tmp_path: Path) -> None:
    for account in ACCOUNTS.values():
        store.add(tmp_path, account, PASSWORD)
    with pytest.raises(AccountError, match="the last practice account"):
        store.remove(tmp_path, "morag")
    store.remove(tmp_path, "rhys")
    assert [account.name for account in store.every(tmp_path)] == ["isla", "morag"]


def test_a_group_that_the_register_has_not_is_named_as_a_possible_slip(home: Path, tmp_path: Path) -> None:
    shutil.copytree(home / "published", tmp_path / "published")
    twice = f"{PASSWORD}\n{PASSWORD}\n"
    for name, group, told in (("isla", "Ravens", False), ("ewan", "ravens", True)):
        _, said = typed(tmp_path, "add", name, "--role", "member", "--groups", group, passwords=twice)
        assert ("Not in the register so far: ravens" in said) is told


def test_commands_ask_for_the_password_and_name_what_was_done(tmp_path: Path) -> None:
    twice = f"{PASSWORD}\n{PASSWORD}\n"
    status, said = typed(tmp_path, "add", "rhys", "--role", "adviser", "--farms", "H01,H02", passwords=twice)
    assert status == 0 and "Not in the register so far: H01, H02" in said and PASSWORD not in said
    assert typed(tmp_path, "list")[1].split() == ["rhys", "adviser", "H01,", "H02"]
    assert typed(tmp_path, "password", "rhys", passwords=twice)[0] == 0
    assert typed(tmp_path, "remove", "rhys")[0] == 0
    assert typed(tmp_path, "list")[1] == "No accounts yet.\n"
    events = [line.split('"event": "')[1].split('"')[0] for line in (Places(tmp_path).audit).open()]
    assert events == ["account added", "password changed", "account removed"]


def test_no_option_takes_a_password(tmp_path: Path) -> None:
    assert typed(tmp_path, "add", "rhys", "--role", "practice", "--password", "x")[0] == 2


def test_listing_makes_no_file(tmp_path: Path) -> None:
    typed(tmp_path / "nothing", "list")
    assert not (tmp_path / "nothing").exists()


def test_a_file_of_a_newer_program_is_refused(tmp_path: Path) -> None:
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    with sqlite3.connect(Places(tmp_path).accounts) as connection:
        connection.execute("pragma user_version = 99")
    with pytest.raises(AccountError, match="a newer version of this program"):
        store.every(tmp_path)


def test_a_hash_costs_what_is_recommended(full_hashing: None) -> None:
    # RFC 9106, section 4, second recommended option: t=3, p=4, m=2^16 (64 MiB)
    assert passwords.hashed(PASSWORD).startswith("$argon2id$v=19$m=65536,t=3,p=4$")


def test_an_older_hash_is_renewed_at_the_next_sign_in(full_hashing: None) -> None:
    weak = "$argon2id$v=19$m=8192,t=1,p=1$c29tZXNhbHRzb21lc2FsdA$"
    assert passwords.outdated(weak + "k5p5Yi3L2YIzJzVPfn0Ew2Rcf2RrU4NVX5Sc3vyiTy0")
    assert not passwords.outdated(passwords.hashed("anything at all"))


def test_the_key_is_made_once_and_for_its_owner_alone(tmp_path: Path) -> None:
    key = secret.load(tmp_path)
    assert secret.load(tmp_path) == key and len(key) == 32
    assert stat.S_IMODE((tmp_path / secret.FILE).stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == [secret.FILE]


def test_a_key_that_others_can_read_is_refused(tmp_path: Path) -> None:
    secret.load(tmp_path)
    (tmp_path / secret.FILE).chmod(0o644)
    with pytest.raises(AccountError, match="others can read"):
        secret.load(tmp_path)


def test_files_of_accounts_are_for_their_owner_alone(tmp_path: Path) -> None:
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    audit.note(tmp_path, "signed in", "morag", "::1")
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in tmp_path.iterdir()}
    assert modes == {"accounts.sqlite": 0o600, "audit.jsonl": 0o600}


def test_an_audit_line_stays_one_line_whatever_the_name_holds(tmp_path: Path) -> None:
    audit.note(tmp_path, "sign-in refused", 'x"}\n{"event": "signed in"\u202e' + "y" * 9_000, "::1")
    (line,) = (Places(tmp_path).audit).read_text().splitlines()
    assert line.isascii() and len(line) < 500
