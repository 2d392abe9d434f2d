"""Headings: aliases, separators, titles, layouts; found strictly or refused."""

from __future__ import annotations

import pytest

from pipelines.imports.headings import REGISTER_ALIASES, SCORE_ALIASES, plain


@pytest.mark.parametrize(("column", "alias"), [(c, a) for c, names in SCORE_ALIASES.items() for a in names])
def test_every_alias_means_one_column_whatever_its_case_and_spacing(read, column, alias):
    rows = {"farm": "A", "scored_on": "2026-08-14", "group": "G", "score": "2.5"}
    rows |= {"count": "4"} if column == "count" else {"ewe": "12"}
    rows.setdefault(
        column, {"stage": "weaning", "grazing": "best", "age": "4", "weight_kg": "60"}.get(column, "x")
    )
    shouted = alias.upper().replace(" ", "_")
    parsed = read(
        ",".join(shouted if name == column else name for name in rows) + f"\n{','.join(rows.values())}\n"
    )
    assert parsed.recognised[shouted] == column
    assert (parsed.rows_accepted, parsed.problems) == (1, ())


def test_no_alias_means_two_columns():
    for aliases in (SCORE_ALIASES, REGISTER_ALIASES):
        names = [plain(name) for column, others in aliases.items() for name in (column, *others)]
        assert len(names) == len(set(names))


def test_the_advisers_own_alias_wins(read):
    parsed = read("Cod,scored_on,group,ewe,score\nA,2026-08-14,G,1,2\n", headings={"cod": "farm"})
    assert (parsed.recognised["Cod"], parsed.rows_accepted) == ("farm", 1)


def test_an_alias_may_be_a_score_or_ignored(read):
    parsed = read(
        "farm,date,mob,thin,2.5,sum of it\nA,2026-08-14,G,3,4,7\n",
        headings={"Thin": "2", "Sum of it": "ignore"},
    )
    assert parsed.table.select(["score", "count"]).to_pylist() == [
        {"score": 2.0, "count": 3},
        {"score": 2.5, "count": 4},
    ]
    assert parsed.problems == ()


def test_an_alias_for_no_column_of_ours_is_refused(read, codes):
    assert codes(read("farm\nA\n", headings={"x": "fram"})) == [(None, "alias_unknown")]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_separator_is_found(read, delimiter):
    text = "farm,scored_on,group,ewe,score\nA,14/08/2026,G,1,2\n".replace(",", delimiter)
    assert read(text).rows_accepted == 1


@pytest.mark.parametrize(
    ("head", "line", "code"),
    [
        ("farm|scored_on|group|ewe|score", None, "headings_not_found"),
        ("A,2026-08-14,G,1,2.5", None, "headings_not_found"),
        ("farm,scored_on,group,ewe,EID,score", 1, "heading_repeated"),
        ("farm,scored_on,group,ewe,score,Score", 1, "heading_repeated"),
        ("farm,scored_on,group,ewe", 1, "column_missing"),
        ("farm,scored_on,ewe,score", 1, "column_missing"),
        ("farm,scored_on,group,score", 1, "unknown_layout"),
        ("farm,scored_on,group,ewe,score,count", 1, "layout_ambiguous"),
        ("farm,scored_on,group,ewe,score,2.5,3", 1, "layout_ambiguous"),
        ("farm,scored_on,group,2,2.5,3.1", 1, "heading_not_a_score"),
        ('farm,scored_on,group,ewe,"sco""re"', 1, "heading_not_understood"),
    ],
)
def test_headings_that_cannot_be_used_refuse_the_file(read, head, line, code):
    parsed = read(f"{head}\nA,2026-08-14,G,1,2.5\n")
    problem = parsed.problems[-1]
    assert (parsed.kind, problem.line) == (None, line)
    assert code in [found.code for found in parsed.problems]


def test_a_missing_column_is_named_with_the_option_that_would_fill_it(read):
    problem = read("scored_on,group,ewe,score\n2026-08-14,G,1,2\n").problems[-1]
    assert (problem.column, "--farm" in problem.message) == ("farm", True)


def test_an_unknown_heading_is_named_and_the_rest_read(read, codes):
    parsed = read("farm,scored_on,group,ewe,score,Dog\nA,2026-08-14,G,1,2,Fly\n")
    assert (codes(parsed), parsed.rows_accepted) == ([(1, "heading_unknown")], 1)
    assert "Dog" not in parsed.recognised


def test_weight_and_teeth_do_not_belong_to_counted_ewes(read, codes):
    parsed = read("farm,scored_on,group,score,count,teeth\nA,2026-08-14,G,2,12,full\n")
    assert codes(parsed) == [(1, "heading_of_one_ewe")]
    assert parsed.table["teeth"].to_pylist() == [None]


def test_titles_above_the_headings_are_named(read, codes):
    parsed = read("Scores 2026\n\nsep=,\nfarm,scored_on,group,ewe,score\nA,2026-08-14,G,1,2\n")
    assert (codes(parsed), parsed.table["line"].to_pylist()) == ([(1, "line_above_headings")], [5])


def test_rows_above_the_headings_refuse_the_file(read, codes):
    parsed = read("A,2026-08-14,G,1,2\nfarm,scored_on,group,ewe,score\nA,2026-08-14,G,2,2\n")
    assert codes(parsed) == [(1, "rows_above_headings")]


def test_headings_repeated_below_are_skipped_and_named(session, codes):
    parsed = session("A,2026-08-14,G,1,2", "Farm,Date,Mob,EID,BCS", "A,2026-08-14,G,2,2")
    assert (codes(parsed), parsed.rows_read, parsed.rows_accepted) == ([(3, "headings_again")], 2, 2)


def test_a_second_table_refuses_the_file(session, codes):
    parsed = session("A,2026-08-14,G,1,2", "group,scored_on,farm,ewe,score", "G,2026-08-14,A,2,2")
    assert codes(parsed) == [(3, "several_tables")]


def test_headings_alone_are_no_file(session, codes):
    assert codes(session()) == [(None, "no_rows")]
