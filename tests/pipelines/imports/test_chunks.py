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
