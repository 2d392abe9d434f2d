import re

from demo_farms import AS_OF, FILES
from demo_farms.generate import build, write
from tests.demo_farms.recount import records


def test_the_committed_files_are_what_the_generator_writes():
    committed = {path.name: path.read_bytes() for path in FILES.iterdir()}
    assert committed == build()


def test_writing_replaces_what_an_earlier_generator_left_behind(tmp_path):
    (tmp_path / "QUIL01-1999-01-01.csv").write_text("old")
    assert write(tmp_path) == len(list(tmp_path.iterdir())) == len(list(FILES.iterdir()))


def test_the_demo_stays_small_enough_to_commit():
    assert sum(path.stat().st_size for path in FILES.iterdir()) < 2_500_000


def test_no_session_is_dated_after_the_demo_day(demo_sessions):
    assert max(session.scored_on for session in demo_sessions) <= AS_OF


def test_contacts_hold_no_telephone_number_and_only_a_reserved_domain():
    contacts = [row["contact"] for path in FILES.glob("register*.csv") for row in records(path)]
    expected = re.compile(r"office@[a-z]{4}\d\d\.example, or the flock's own phone list")
    assert all(expected.fullmatch(contact) for contact in contacts)


def test_twenty_six_farms_have_codes_and_names_of_their_own():
    names = {row["farm"]: row["name"] for row in records(FILES / "register-2026.csv")}
    assert len(names) == len(set(names.values())) == 26
