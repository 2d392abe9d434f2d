"""What a person sees of a file before it is imported."""

from __future__ import annotations

from datetime import date

from pipelines.imports import Context
from pipelines.imports.preview import farms_named, preview

TODAY = date(2026, 11, 25)
UNKNOWN = "Wo,Wann,Pen,Beast,Cond\nA,2026-08-14,G,1,2.5\nB,2026-08-14,G,2,9\n"
NAMED = {"Wo": "farm", "Wann": "scored_on", "Pen": "group", "Beast": "ewe", "Cond": "score"}


def seen(text, **context):
    return preview(text.encode(), Context(today=TODAY, **context))


def test_headings_stand_with_what_they_mean():
    shown = seen("farm,scored_on,group,Tag no,BCS,Weather\nA,2026-08-14,G,1,2.5,fair\n")
    meanings = {heading.written: heading.column for heading in shown.headings}
    assert meanings["Tag no"] == "ewe" and meanings["BCS"] == "score" and meanings["Weather"] is None
    assert shown.rows[0].cells == ("A", "2026-08-14", "G", "1", "2.5", "fair")
    assert [problem.code for problem in shown.general] == ["heading_unknown"]


def test_a_file_of_unknown_headings_can_still_be_named():
    before, after = seen(UNKNOWN), seen(UNKNOWN, headings=NAMED)
    assert [heading.written for heading in before.headings] == list(NAMED)
    assert before.parsed.kind is None
    assert (after.parsed.kind, after.parsed.rows_accepted, after.parsed.rows_refused) == ("scores", 1, 1)


def test_a_problem_stands_at_its_row():
    shown = seen(UNKNOWN, headings=NAMED)
    assert [(row.line, [p.column for p in row.problems]) for row in shown.rows] == [(2, []), (3, ["Cond"])]


def test_a_problem_far_down_is_shown_beside_the_first_rows():
    rows = (
        "".join(f"A,2026-08-14,G,{ewe},{2 + ewe % 2}\n" for ewe in range(1, 200)) + "A,2026-08-14,G,200,x\n"
    )
    shown = seen("farm,scored_on,group,ewe,score\n" + rows)
    assert [row.line for row in shown.rows] == [*range(2, 10), 201]


def test_what_no_column_gives_is_named():
    assert seen("ewe,score\n1,2\n").missing == ("farm", "scored_on", "group")
    assert seen("farm,name,system,ewes,weaned_on,rams_in\nA,A,hill,1,1/8/2026,1/11/2026\n").missing == ()


def test_a_file_that_is_no_text_shows_its_reason():
    shown = preview(b"PK\x03\x04 a workbook", Context(today=TODAY))
    assert (shown.headings, shown.rows) == ((), ())
    assert [problem.severity for problem in shown.general] == ["error"]


def test_farms_are_found_on_refused_rows_too():
    assert farms_named(UNKNOWN.encode(), Context(today=TODAY, headings=NAMED)) == {"A", "B"}
    assert farms_named(UNKNOWN.encode(), Context(today=TODAY)) == frozenset()
