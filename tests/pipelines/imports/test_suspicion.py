"""Oddities are named, and the rows are accepted."""

from __future__ import annotations

import io
from datetime import date

from pipelines.imports import Context, parse_chunks


def test_the_same_ewe_twice_in_a_session_is_named(session, codes):
    parsed = session("A,2026-08-14,G,UK 0 123456 00001,2", "A,2026-08-14,G,826012345600001,3")
    assert (codes(parsed), parsed.rows_accepted) == ([(3, "ewe_twice")], 2)


def test_the_same_tag_on_another_day_or_farm_is_not_odd(session):
    assert session("A,2026-08-14,G,1,2", "A,2026-09-14,G,1,3", "B,2026-08-14,G,1,3").problems == ()


def test_a_recalibration_pair_is_not_odd(read):
    parsed = read(
        "farm,scored_on,group,ewe,score,scorer,note\n"
        "A,2026-08-14,G,1,2,Wyn,\nA,2026-08-14,G,1,2.5,Mair,recalibration pair\n"
    )
    assert (parsed.rows_accepted, parsed.problems) == (2, ())
    assert parsed.table["note"].to_pylist() == [None, "recalibration pair"]


def test_ewes_without_tags_are_not_one_ewe(session, codes):
    parsed = session("A,2026-08-14,G,,2", "A,2026-08-14,G,,3")
    assert {code for _, code in codes(parsed)} == {"ewe_missing"}


def test_a_session_of_one_score_is_named_once(session, codes):
    rows = [f"A,2026-08-14,G,{ewe},3" for ewe in range(20)]
    assert codes(session(*rows)) == [(2, "scores_all_same")]
    assert codes(session(*rows[:19])) == []
    assert codes(session(*rows[:19], "A,2026-08-14,G,99,2")) == []


def test_each_session_of_a_file_is_judged_alone(session, codes):
    same = [f"A,2026-08-14,G,{ewe},3" for ewe in range(20)]
    mixed = [f"A,2026-09-14,G,{ewe},{2 + ewe % 2}" for ewe in range(20)]
    assert codes(session(*mixed, *same)) == [(22, "scores_all_same")]


def test_sessions_whose_rows_alternate_are_judged_as_those_that_stand_together(session, codes):
    same = [f"A,2026-08-14,G,{ewe},3" for ewe in range(20)]
    mixed = [f"A,2026-09-14,G,{ewe},{2 + ewe % 2}" for ewe in range(20)]
    other = [f"B,2026-08-14,G,{ewe},4" for ewe in range(20)]
    rows = [row for three in zip(mixed, same, other, strict=True) for row in three]
    assert codes(session(*rows)) == [(3, "scores_all_same"), (4, "scores_all_same")]


def test_a_score_counted_twice_for_a_group_is_named(read, codes):
    text = "farm,scored_on,group,score,count\nA,2026-08-14,G,2,5\nA,2026-08-14,G,3,5\nA,2026-08-14,G,2,6\n"
    assert codes(read(text)) == [(4, "tally_twice")]


def test_a_group_given_two_wide_rows_is_named(read, codes):
    text = "farm,scored_on,group,2,3\nA,2026-08-14,G,1,4\nA,2026-08-14,H,1,4\nA,2026-08-14,G,2,4\n"
    assert codes(read(text)) == [(4, "group_twice")]


def test_a_wide_row_that_counts_nobody_is_named(read, codes):
    parsed = read("farm,scored_on,group,2,3\nA,2026-08-14,G,0,\nA,2026-08-14,H,1,4\n")
    assert (codes(parsed), parsed.rows_accepted) == ([(2, "nothing_counted")], 2)


def test_a_group_spelt_in_two_ways_is_named_once(session, codes):
    rows = [
        "A,2026-08-14,Hoggs,1,2",
        "A,2026-08-14,hoggs,2,3",
        "A,2026-08-14,hoggs,3,3",
        "B,2026-08-14,HOGGS,4,3",
    ]
    assert codes(session(*rows)) == [(3, "group_spelt_two_ways")]


def _pieces(rows, size=200):
    content = "\n".join(["farm,scored_on,group,ewe,score", *rows]) + "\n"
    return list(parse_chunks(io.BytesIO(content.encode()), Context(today=date(2026, 11, 25)), size=size))


def test_a_session_in_several_pieces_is_judged_as_one():
    same = [f"A,2026-08-14,G,{ewe},3" for ewe in range(100, 140)]
    problems = [problem for piece in _pieces(same) for problem in piece.problems]
    assert [(problem.line, problem.code) for problem in problems] == [(2, "scores_all_same")]
    assert len(_pieces(same)) > 3
    assert [piece.problems for piece in _pieces([*same, "A,2026-08-14,G,999,2"]) if piece.problems] == []


def test_dates_that_turn_out_month_first_in_a_later_piece_refuse_the_file():
    rows = [f"A,08/04/2026,G,{ewe},3" for ewe in range(100, 120)] + ["A,08/14/2026,G,200,3"]
    last = _pieces(rows)[-1]
    assert (last.kind, last.problems[0].code, last.problems[0].line) == (None, "dates_mixed", 22)
