"""The recount itself, on a folder small enough to count by hand."""

from datetime import date

import pytest

from tests.demo_farms.recount import Count, day_of, recount, score_of

REGISTER = "farm,name,system,ewes,weaned_on,rams_in\nA1,Nowhere,lowland,9,2026-06-20,2026-10-10\n"
INDIVIDUAL = """Farm;Scored on;Mob;Tag;BCS;note
A1;25/08/2026;Main;1;2,75;
A1;25/08/2026;Main;2;3;
A1;25/08/2026;Old;3;4+;
A1;25/08/2026;Old;4;7;
A1;25/08/2026;Old;5;
A1;25/08/2026;Old;8.26E+14;3;
A1;25/08/2026;Main;1;2,5;recalibration pair
"""
WIDE = "farm,scored_on,group,2,2.5,4\nA1,2026-07-01,Main,1,2,1\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "register.csv").write_text(REGISTER)
    (tmp_path / "a.csv").write_text(INDIVIDUAL, encoding="utf-16")
    (tmp_path / "a again.csv").write_text(INDIVIDUAL, encoding="utf-16")
    (tmp_path / "b.csv").write_text(WIDE)
    return tmp_path


def test_counts_of_a_folder_counted_by_hand(folder):
    # pre-tupping lowland: thin below 3.0, over above 4.0; weaning: 2.25 and 3.5
    august = ("A1", 2026, date(2026, 8, 25), "pre-tupping")
    july = ("A1", 2026, date(2026, 7, 1), "weaning")
    assert recount(folder) == [
        Count(*july, "ALL", ewes=4, mean_score=11 / 4, thin=1, on_target=2, over=1),
        Count(*july, "Main", ewes=4, mean_score=11 / 4, thin=1, on_target=2, over=1),
        Count(*august, "ALL", ewes=3, mean_score=10 / 3, thin=1, on_target=1, over=1),
        Count(*august, "Main", ewes=2, mean_score=2.875, thin=1, on_target=1, over=0),
        Count(*august, "Old", ewes=1, mean_score=4.25, thin=0, on_target=0, over=1),
    ]


@pytest.mark.parametrize(
    ("written", "score"),
    [("2.5", 2.5), ("2,5", 2.5), ("2½", 2.5), ("2 1/2", 2.5), ("2+", 2.25), ("3-", 2.75), ("5", 5.0)],
)
def test_scores_read_as_the_contract_writes_them(written, score):
    assert score_of(written) == score


@pytest.mark.parametrize("written", ["7", "", "2.3", "thin", "5+", "0", "1-"])
def test_what_is_no_score_is_left_out(written):
    assert score_of(written) is None


def test_slashed_dates_are_day_first():
    assert day_of("03/09/2026") == day_of("2026-09-03") == date(2026, 9, 3)
