"""Rows: what is accepted, what is named, and the counts that go with it."""

from __future__ import annotations

from datetime import date

import pytest

from pipelines.imports import REGISTER, SCORES

GOOD = "A,2026-08-14,Ewes,12,2.5"


def test_an_individual_row_counts_one_ewe(session):
    parsed = session(GOOD)
    assert parsed.table.schema == SCORES
    assert (parsed.kind, parsed.layout) == ("scores", "individual")
    row = {name: value for name, value in parsed.table.to_pylist()[0].items() if value is not None}
    assert row == {
        "line": 2, "farm": "A", "scored_on": date(2026, 8, 14), "group": "Ewes", "ewe": "12",
        "score": 2.5, "count": 1,
    }  # fmt: skip


def test_a_tally_row_has_a_count_and_no_ewe(read):
    parsed = read("farm,scored_on,group,score,count\nA,2026-08-14,G,2+,12\nA,2026-08-14,G,3,0\n")
    assert (parsed.layout, parsed.rows_accepted) == ("tally", 2)
    assert parsed.table.select(["ewe", "score", "count"]).to_pylist() == [
        {"ewe": None, "score": 2.25, "count": 12}
    ]


def test_a_wide_row_gives_one_row_for_each_score_counted(read):
    parsed = read("farm;date;mob;3;2,5;2\nA;14/08/2026;G;4;;7\n")
    assert (parsed.layout, parsed.rows_read, parsed.rows_accepted) == ("wide", 1, 1)
    assert parsed.table.select(["line", "score", "count"]).to_pylist() == [
        {"line": 2, "score": 2.0, "count": 7},
        {"line": 2, "score": 3.0, "count": 4},
    ]


def test_optional_columns_of_a_ewe_are_kept(read):
    parsed = read(
        "farm,date,group,eid,bcs,stage,scorer,breed,note,grazing,age,weight_kg,teeth,lame,udder\n"
        "A,2026-08-14,G,12,3-,pre tupping,Wyn,Mule,ok,best,4,\"62,5\",full,no,sound\n"
    )  # fmt: skip
    row = parsed.table.to_pylist()[0]
    assert [row[name] for name in parsed.table.column_names[7:]] == [
        "pre-tupping", "Wyn", "Mule", "ok", "best", 4.0, 62.5, "full", "no", "sound",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("A,2026-08-14,Ewes,12", "wrong_number_of_cells"),
        ("A,2026-08-14,Ewes,12,2,5", "wrong_number_of_cells"),
        ('A,2026-08-14,"Ewes,12,2.5', "stray_quote"),
        ('A,2026-08-14,Ew"es,12,2.5', "stray_quote"),
        ("Total,,,,5", "totals_row"),
        (",2026-08-14,Ewes,12,2.5", "farm_missing"),
        ("A,,Ewes,12,2.5", "scored_on_missing"),
        ("A,2026-08-14,,12,2.5", "group_missing"),
        ("A,2026-08-14,ALL,12,2.5", "group_reserved"),
        ("A,2026-08-14,Ewes,12,7", "score_out_of_range"),
        ("A,2027-08-14,Ewes,12,2", "date_in_future"),
        ("=cmd(),2026-08-14,Ewes,12,2", "formula"),
    ],
)
def test_a_bad_row_is_named_and_the_good_ones_around_it_kept(session, codes, row, code):
    parsed = session("A,2026-08-14,Ewes,11,2.5", row, "A,2026-08-14,Ewes,13,2.5")
    assert codes(parsed) == [(3, code)]
    assert parsed.table["ewe"].to_pylist() == ["11", "13"]
    assert (parsed.rows_read, parsed.rows_accepted, parsed.rows_refused) == (3, 2, 1)


def test_every_fault_of_a_row_is_told_with_the_heading_as_written(read):
    parsed = read("Farm,Date,Mob,EID,BCS\nA,14/14/2026,G,8.26E+14,7\n")
    assert [(problem.column, problem.value) for problem in parsed.problems] == [
        ("Date", "14/14/2026"),
        ("EID", "8.26E+14"),
        ("BCS", "7"),
    ]


def test_blank_lines_are_nothing(session):
    parsed = session("", "  ", GOOD, ",,,,", '"","","","",""', "")
    assert (parsed.rows_read, parsed.rows_accepted, parsed.problems) == (1, 1, ())
    assert parsed.table["line"].to_pylist() == [4]


def test_an_unclosed_quotation_mark_swallows_no_row(session, codes):
    parsed = session('"A,2026-08-14,Ewes,11,2.5', GOOD, 'A,2026-08-14,Ewes,13,2.5"')
    assert codes(parsed) == [(2, "stray_quote"), (4, "stray_quote")]
    assert parsed.table["ewe"].to_pylist() == ["12"]


def test_a_line_that_is_no_row_puts_its_neighbours_in_doubt(session, codes):
    parsed = session(GOOD, ".25", "A,2026-08-14,Ewes,13,2.5")
    assert codes(parsed) == [
        (2, "row_may_be_broken"), (3, "wrong_number_of_cells"), (4, "row_may_be_broken"),
    ]  # fmt: skip


def test_a_value_under_no_heading_refuses_its_row(read, codes):
    parsed = read("farm,scored_on,group,ewe,score,\nA,2026-08-14,G,1,2,\nA,2026-08-14,G,2,2,x\n")
    assert (codes(parsed), parsed.rows_accepted) == ([(3, "cell_without_heading")], 1)


def test_a_file_that_ends_within_a_row_says_so(read, codes):
    text = "farm,scored_on,group,ewe,score\nA,2026-08-14,G,1,"
    assert codes(read(text + "2")) == [(2, "last_line_unfinished")]
    assert codes(read(text + "2.5")) == []
    assert codes(read(text + "2\n")) == []


def test_options_fill_what_the_file_does_not_say(read):
    parsed = read("ewe,score\n12,2.5\n", farm=" HB7 ", scored_on=date(2026, 8, 14), group="Ewes")
    row = parsed.table.to_pylist()[0]
    assert (row["farm"], row["scored_on"], row["group"]) == ("HB7", date(2026, 8, 14), "Ewes")


def test_an_option_that_contradicts_the_row_refuses_it(session, codes):
    assert codes(session(GOOD, farm="B")) == [(2, "contradicts_option")]
    assert codes(session(GOOD, scored_on=date(2026, 8, 15))) == [(2, "contradicts_option")]
    assert codes(session(GOOD, farm="A", scored_on=date(2026, 8, 14), group="Ewes")) == []


@pytest.mark.parametrize("option", [{"group": "All"}, {"farm": " "}, {"scored_on": date(2026, 12, 1)}])
def test_an_option_must_be_usable_itself(session, codes, option):
    assert codes(session(GOOD, **option)) == [(None, "option_unusable")]


def test_a_register_row_names_its_season_for_the_rams(register):
    parsed = register("A,High Fold,Hill,310,01/08/2026,2026-10-25")
    row = parsed.table.to_pylist()[0]
    assert (parsed.table.schema, parsed.layout) == (REGISTER, "register")
    assert (row["system"], row["ewes"], row["season"], row["rams_in"]) == (
        "hill",
        310,
        2026,
        date(2026, 10, 25),
    )


@pytest.mark.parametrize(
    ("row", "code", "severity"),
    [
        ("A,Fold,fen,310,2026-08-01,2026-10-25", "system_unknown", "error"),
        ("A,Fold,hill,0,2026-08-01,2026-10-25", "ewes_out_of_range", "error"),
        ("A,Fold,hill,,2026-08-01,2026-10-25", "ewes_missing", "warning"),
        ("A,Fold,hill,310,,2026-10-25", "weaned_on_missing", "warning"),
        ("A,Fold,hill,310,2026-08-01,", "rams_in_missing", "error"),
        ("A,Fold,hill,310,2026-11-01,2026-10-25", "dates_out_of_order", "error"),
        ("A,,hill,310,2026-08-01,2026-10-25", "name_missing", "error"),
    ],
)
def test_a_register_row_that_cannot_be_whole_is_named(register, row, code, severity):
    problem = register(row).problems[0]
    assert (problem.line, problem.code, problem.severity) == (2, code, severity)


def test_a_farm_has_one_row_for_each_season(register, codes):
    parsed = register(
        "A,Fold,hill,310,2026-08-01,2026-10-25",
        "A,Fold,hill,300,2025-08-01,2025-10-25",
        "A,Fold,hill,320,2026-08-01,2026-10-26",
    )
    assert codes(parsed) == [(4, "farm_season_repeated")]
    assert (parsed.table["ewes"].to_pylist(), parsed.rows_refused) == ([310, 300], 1)


def test_a_season_that_is_not_the_year_of_the_rams_is_named(read, codes):
    parsed = read(
        "farm,name,system,ewes,weaned_on,rams_in,season\nA,Fold,hill,9,2026-08-01,2026-10-25,2027\n"
    )
    assert (codes(parsed), parsed.table["season"].to_pylist()) == ([(2, "season_differs")], [2027])
