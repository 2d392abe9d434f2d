"""A large file in pieces: the same answers, several processes, every encoding."""

from __future__ import annotations

import io
from concurrent.futures import ProcessPoolExecutor
from datetime import date

import pytest

from pipelines.imports import Context, ahead, parse, parse_chunks

CONTEXT = Context(today=date(2026, 11, 25))
ROWS = [f"A,2026-08-14,Gwŷn,8260123456{ewe:05d},{2 + ewe % 5 / 4:g}" for ewe in range(1, 400)]
TEXT = "\n".join(["farm,scored_on,group,ewe,score", *ROWS]) + "\n"


def _table(pieces):
    return [row for piece in pieces for row in piece.table.to_pylist()]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_pieces_give_the_rows_of_the_whole(encoding, end):
    content = TEXT.replace("\n", end).replace("ŷ", "é").encode(encoding)
    pieces = list(parse_chunks(io.BytesIO(content), CONTEXT, size=1001))
    assert len(pieces) > 5
    assert _table(pieces) == parse(content, CONTEXT).table.to_pylist()


@pytest.mark.parametrize(
    "odd",
    [
        "", "   ", ",,,,", "A,2026-08-14,Gwŷn,8260123456,2", "A,2026-08-14,Gwŷn,826012345600001",
        "A,2026-08-14",
        '"A",2026-08-14,Gwŷn,826012345699999,2', 'A,2026-08-14,G"w,826012345699999,2', "Total,,,,9",
        "A,2026-08-14,Gwŷn,826012345600399,2", "A,2026-08-14,Gwŷn,,2", "A,2026-08-14,GWŶN,826012345699999,2",
        "A,08/14/2026,Gwŷn,826012345699999,2", "B,2026-08-14,Gwŷn,x 7,3-", "=cmd(),2026-08-14,G,1,2",
        "A,2026-08-14,Gwŷn,826012345699999,2,", "A,2026-08-14,N/A,826012345699999,2",
        "A,2026-08-14,NULL,77,2",
        "farm,scored_on,group,ewe,score",
    ],
)  # fmt: skip
def test_one_odd_row_among_clean_ones_is_told_as_in_the_whole(odd):
    content = (TEXT + odd + "\n" + "A,2026-08-14,Gwŷn,B 1,2\n").encode()
    whole = parse(content, CONTEXT)
    pieces = list(parse_chunks(io.BytesIO(content), CONTEXT))
    assert _table(pieces) == whole.table.to_pylist()
    assert [problem for piece in pieces for problem in piece.problems] == [*whole.problems]
    assert sum(piece.rows_read for piece in pieces) == whole.rows_read


@pytest.mark.parametrize("last", ["", "A,2026-08-14,G,2,9\n", "A,2026-08-14,G,3,0\n", "A,2026-08-14,g,3,1\n"])
def test_a_tally_in_pieces_is_told_as_in_the_whole(last):
    content = ("farm,scored_on,group,score,count\nA,2026-08-14,G,2,5\nA,2026-08-15,G,2,5\n" + last).encode()
    whole = parse(content, CONTEXT)
    pieces = list(parse_chunks(io.BytesIO(content), CONTEXT))
    assert _table(pieces) == whole.table.to_pylist()
    assert [problem for piece in pieces for problem in piece.problems] == [*whole.problems]


def test_several_processes_give_the_same_pieces_in_order():
    with ProcessPoolExecutor(2) as executor:
        pieces = list(parse_chunks(io.BytesIO(TEXT.encode()), CONTEXT, size=1001, apply=ahead(executor)))
    assert _table(pieces) == _table(parse_chunks(io.BytesIO(TEXT.encode()), CONTEXT, size=1001))


def test_a_refusal_in_another_process_comes_back_with_its_line():
    text = TEXT + "group,scored_on,farm,ewe,score\n"
    with ProcessPoolExecutor(1) as executor:
        last = list(parse_chunks(io.BytesIO(text.encode()), CONTEXT, size=1001, apply=ahead(executor)))[-1]
    assert (last.kind, last.problems[0].code, last.problems[0].line) == (None, "several_tables", 401)
    assert last.recognised["ewe"] == "ewe"


def test_an_encoding_that_changes_in_a_later_piece_refuses_the_file():
    content = TEXT.encode() + "A,2026-08-14,caf\xe9,1,2\n".encode("cp1252")
    last = list(parse_chunks(io.BytesIO(content), CONTEXT, size=1001))[-1]
    assert (last.kind, last.problems[0].code) == (None, "encoding_mixed")


def test_plain_pieces_before_the_first_accent_do_not_matter():
    text = TEXT.replace("ŷ", "y") + "A,2026-08-14,caf\xe9,1,2\n"
    last_rows = list(parse_chunks(io.BytesIO(text.encode("cp1252")), CONTEXT, size=1001))[-2]
    assert last_rows.table["group"].to_pylist()[-1] == "café"


def test_a_register_is_read_whole():
    text = "farm,name,system,ewes,weaned_on,rams_in\n" + "A,Fold,hill,9,2026-08-01,2026-10-25\n" * 20
    (only,) = parse_chunks(io.BytesIO(text.encode()), CONTEXT, size=100)
    assert (only.rows_accepted, only.rows_refused) == (1, 19)


def test_headings_without_rows_are_refused():
    (only,) = [
        piece
        for piece in parse_chunks(io.BytesIO(b"farm,scored_on,group,ewe,score\n"), CONTEXT)
        if piece.kind is None
    ]
    assert only.problems[-1].code == "no_rows"
