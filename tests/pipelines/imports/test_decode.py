"""Encodings decided on evidence."""

from __future__ import annotations

import codecs
import io
import zipfile

import pytest

TEXT = "farm,scored_on,group,ewe,score\nA,2026-08-14,Ŵyn é,12,2½\n"
LATIN = TEXT.replace("Ŵ", "W")


@pytest.mark.parametrize(
    "content",
    [
        TEXT.encode(), codecs.BOM_UTF8 + TEXT.encode(), TEXT.encode("utf-16"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"),
    ],
    ids=["utf-8", "utf-8 mark", "utf-16", "utf-16-be mark", "utf-16-le mark"],
)  # fmt: skip
def test_unicode_is_read_with_or_without_its_mark(read, content):
    parsed = read(content)
    assert (parsed.table["group"].to_pylist(), parsed.table["score"].to_pylist()) == (["Ŵyn é"], [2.5])


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16-le", "utf-16-be"])
def test_windows_and_unmarked_utf16_are_read_where_sure(read, encoding):
    parsed = read(LATIN.encode(encoding))
    assert (parsed.table["group"].to_pylist(), parsed.table["score"].to_pylist()) == (["Wyn é"], [2.5])


def _workbook():
    saved = io.BytesIO()
    with zipfile.ZipFile(saved, "w") as book:
        book.writestr("xl/workbook.xml", "<workbook/>")
    return saved.getvalue()


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty_file"), (b"\r\n \n", "empty_file"), (_workbook(), "spreadsheet_workbook"),
        (b"%PDF-1.4", "not_text"), (TEXT.encode("utf-32"), "not_text"),
        (TEXT.encode().replace(b"A,", b"A\0,"), "nul_bytes"),
        (TEXT.encode() + "é".encode("cp1252"), "encoding_mixed"),
        (codecs.BOM_UTF8 + LATIN.encode("cp1252"), "encoding_mixed"),
        (b"farm\x81", "encoding_not_understood"), (LATIN.encode("cp850"), "encoding_not_understood"),
        (TEXT.encode("utf-16")[:-1], "encoding_not_understood"),
    ],
)  # fmt: skip
def test_what_is_no_text_is_refused_with_a_remedy(read, content, code):
    parsed = read(content)
    assert (parsed.kind, parsed.problems[-1].code, parsed.table.num_rows) == (None, code, 0)
    assert parsed.problems[-1].message.endswith(".")


def test_a_damaged_byte_is_named_with_its_line(read):
    assert read(b"farm\r\nA\r\nB\0\r\n").problems[0].line == 3
    assert read(TEXT.encode() + b"x\n\xe9\n").problems[0].line == 4
