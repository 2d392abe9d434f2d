"""Files read at once are told as each is on its own, whatever stands beside it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from pipelines.imports import Context, parse, parse_many
from tests.pipelines.imports.torture import TODAY, cleans, written
from tests.pipelines.imports.torture_all import all_cases

CONTEXT = Context(today=date(2026, 11, 25))
HEADINGS = "farm,scored_on,group,ewe,score\n"
GOOD = [f"F{n},2026-08-14,Ewes,{n},2.5\nF{n},2026-08-14,Ewes,7{n},3\n" for n in range(8)]


def told(parsed):
    return parsed.table.to_pylist(), replace(parsed, table=None)


def both(files):
    """What is told of files read at once, and of each on its own: once, if it occurs again."""
    alone = {key: told(parse(*file)) for key, file in {id(file): file for file in files}.items()}
    return [told(each) for each in parse_many(files)], [alone[id(file)] for file in files]


def test_every_damaged_file_among_clean_ones_is_told_as_alone():
    clean = [(written("clean", each.name, each.lines()).content, Context(today=TODAY)) for each in cleans()]
    files = []
    for case in all_cases():
        files += [(case.content, case.context), *clean]
    for start in range(0, len(files), 64 * 7):  # every seventh task of 64 files
        together, alone = both(files[start : start + 64])
        assert together == alone


@pytest.mark.parametrize(
    "rows",
    [
        "A,2026-08-14,Ewes,1,2\nA,2026-08-14,Ewes,1,2\n",  # a ewe twice
        "A,2026-08-14,Ewes,1,2\nA,2026-08-14,EWES,2,2\n",  # a group spelt two ways
        "".join(f"A,2026-08-14,Ewes,{ewe},3\n" for ewe in range(25)),  # a session of one score
        "A,2026-08-14,Ewes,1,2",  # no end of the last line
        "A,2026-08-14,Ewes,1,7\n",
        "A,08/14/2026,Ewes,1,3\nA,02/03/2026,Ewes,2,3\n",
        '"A",2026-08-14,Ewes,1,2\n',
        "\n",
        "",
    ],
)
def test_what_is_odd_about_one_file_is_told_of_that_file(rows):
    files = [((HEADINGS + text).encode(), CONTEXT) for text in (*GOOD[:5], rows, *GOOD[5:])]
    together, alone = both(files)
    assert together == alone
    assert [each.problems for _, each in together[:5]] == [()] * 5


def test_the_same_ewe_and_another_spelling_in_two_files_are_nothing_odd():
    rows = ["A,2026-08-14,Ewes,1,2\n", "A,2026-08-14,EWES,1,2\n", "A,2026-08-14,ewes,1,3\n"]
    found = parse_many([((HEADINGS + text).encode(), CONTEXT) for text in rows])
    assert [(one.table["line"].to_pylist(), one.problems) for one in found] == [([2], ())] * 3


def test_files_told_otherwise_are_not_read_as_one():
    content = b"group,ewe,score\nEwes,1,2\nEwes,2,3\n"
    contexts = [
        Context(CONTEXT.today, farm=f"F{n % 2}", scored_on=date(2026, 8, 1 + n % 3)) for n in range(12)
    ]
    together, alone = both([(content, context) for context in contexts])
    assert together == alone
    assert [rows[0]["farm"] for rows, _ in together] == ["F0", "F1"] * 6


def test_tallies_with_a_count_of_none_keep_their_lines():
    content = b"farm,scored_on,group,score,count\nA,2026-08-14,G,2,0\nA,2026-08-14,G,3,5\n"
    together, alone = both([(content, CONTEXT)] * 4)
    assert together == alone
    assert [row["line"] for row in together[0][0]] == [3]
