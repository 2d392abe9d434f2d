"""Bytes to text: UTF-8, UTF-16 or Windows-1252, decided on evidence; anything else is refused."""

from __future__ import annotations

import codecs
import re

from pipelines.imports import catalogue
from pipelines.imports.problems import Kind, RefusedError

_SIGNATURES = {
    b"PK\x03\x04": "a workbook",
    b"\xd0\xcf\x11\xe0": "a workbook",
    b"%PDF": "a PDF",
    b"\x1f\x8b": "a compressed file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"SQLite format 3": "a database",
    b"PAR1": "a Parquet file",
    b"\xff\xfe\x00\x00": "UTF-32",
    b"\x00\x00\xfe\xff": "UTF-32",
}
_UTF8_LETTER = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
# Marks of Windows-1252 that no farm writes; é, ê, ë, ä, å, ç of the old DOS code page would turn into them.
_DOS_LETTER = re.compile(rb"[\x82-\x84\x86-\x89\x8b]")
_LATIN_LIMIT = "\u0250"


def decode(content: bytes) -> str:
    """The text of a client file, line ends normalised to `\\n`.

    Raises `RefusedError` when the bytes are empty, binary, damaged, or mix encodings.
    """
    encoding = sniff(content)
    if encoding != "8-bit":
        return newlines(_utf16(content, encoding))
    marked = content.startswith(codecs.BOM_UTF8)
    return newlines(content.decode(encoding_8bit(content, marked=marked)).removeprefix("\ufeff"))


def sniff(head: bytes) -> str:
    """`utf-16-le`, `utf-16-be` or `8-bit`, from the first bytes of a file.

    Raises `RefusedError` when they are empty or of a known binary kind.
    """
    if not head.strip(b" \t\r\n"):
        raise _refused(catalogue.EMPTY_FILE)
    for signature, what in _SIGNATURES.items():
        if head.startswith(signature):
            raise _refused(catalogue.WORKBOOK if what == "a workbook" else catalogue.NOT_TEXT, what=what)
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16-le" if head.startswith(codecs.BOM_UTF16_LE) else "utf-16-be"
    return _sniff_without_mark(head)


def newlines(text: str) -> str:
    """Windows and old Macintosh line ends as `\\n`."""
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


def encoding_8bit(content: bytes, first_line: int = 1, *, marked: bool = False) -> str:
    """`ascii`, `utf-8`, or `cp1252` when the bytes cannot be UTF-8 (and are not `marked` as UTF-8).

    `first_line` is the line the bytes begin on. Raises `RefusedError` naming the line that cannot be read.
    """
    if b"\0" in content:
        raise _at(catalogue.NUL_BYTES, content, content.index(b"\0"), first_line)
    if content.isascii():
        return "ascii"
    try:
        content.decode("utf-8")
        return "utf-8"
    except UnicodeDecodeError as error:
        if marked or _UTF8_LETTER.search(content):
            # Read as Windows-1252, the good UTF-8 letters would become Ã© and nobody would notice.
            raise _at(catalogue.MIXED_ENCODING, content, error.start, first_line) from error
    if letter := _DOS_LETTER.search(content):
        raise _at(catalogue.BAD_ENCODING, content, letter.start(), first_line)
    try:
        content.decode("cp1252")
        return "cp1252"
    except UnicodeDecodeError as error:
        raise _at(catalogue.BAD_ENCODING, content, error.start, first_line) from error


def _sniff_without_mark(head: bytes) -> str:
    """UTF-16 without a mark only where it is sure: every zero byte on one side, Latin letters only."""
    if b"\0" not in head:
        return "8-bit"
    for encoding, high in (("utf-16-le", 1), ("utf-16-be", 0)):
        even = head[: len(head) // 2 * 2]
        if b"\0" in even[1 - high :: 2] or even[high::2].count(0) * 10 < len(even[high::2]) * 9:
            continue
        text = even.decode(encoding, "replace")
        if len(head) % 2 == 0 and max(text) < _LATIN_LIMIT:
            return encoding
    return "8-bit"


def _utf16(content: bytes, encoding: str) -> str:
    try:
        text = content.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = content[: error.start].decode(encoding, "replace").count("\n") + 1
        raise _refused(catalogue.BAD_ENCODING, line=line) from error
    if "\0" in text:
        raise _refused(catalogue.NUL_BYTES, line=text[: text.index("\0")].count("\n") + 1)
    return text


def _at(kind: Kind, content: bytes, offset: int, first_line: int) -> RefusedError:
    return _refused(kind, line=first_line + newlines(content[:offset].decode("latin-1")).count("\n"))


def _refused(kind: Kind, line: int | None = None, what: str = "") -> RefusedError:
    return RefusedError(kind(line=line, what=what).at(line))
