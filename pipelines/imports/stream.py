"""A large file as pieces of whole lines, decoded by the same rules as a small one, in bounded memory."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from typing import BinaryIO

from pipelines.imports import catalogue
from pipelines.imports.decode import encoding_8bit, newlines, sniff
from pipelines.imports.problems import RefusedError

# Small enough for the processor's cache: pieces of 8 MB take twice as long.
PIECE_BYTES = 1 << 20
LONGEST_LINE = 16 << 20


Numbered = tuple[int, str]  # the line a piece begins on, and its text


def text_pieces(stream: BinaryIO, size: int = PIECE_BYTES) -> Iterator[Numbered]:
    """The text of `stream` in pieces of about `size` bytes that end with a line (the last one may not).

    Raises `RefusedError` as `decode` does, also late in the file.
    """
    head = stream.read(size)
    encoding = sniff(head)
    blocks = _blocks(head, stream, size)
    return _pieces_8bit(blocks) if encoding == "8-bit" else _pieces_utf16(blocks, encoding)


def _blocks(head: bytes, stream: BinaryIO, size: int) -> Iterator[bytes]:
    while head:
        yield head
        head = stream.read(size)


def _pieces_8bit(blocks: Iterator[bytes]) -> Iterator[Numbered]:
    line, encoding, marked = 1, "ascii", False
    for number, piece in enumerate(_whole_lines(blocks)):
        marked = marked or (number == 0 and piece.startswith(codecs.BOM_UTF8))
        found = encoding_8bit(piece, line, marked=marked)
        if "ascii" not in (found, encoding) and found != encoding:
            raise RefusedError(catalogue.MIXED_ENCODING(line=line).at(line))
        encoding = found if encoding == "ascii" else encoding
        text = newlines(piece.decode(found))
        yield line, text.removeprefix("\ufeff") if number == 0 else text
        line += text.count("\n")


def _whole_lines(blocks: Iterator[bytes]) -> Iterator[bytes]:
    rest, line = b"", 1
    for block in blocks:
        piece = rest + block
        end = piece.rfind(b"\n") + 1 or piece.rfind(b"\r", 0, -1) + 1
        if end:
            yield piece[:end]
            line += piece.count(b"\n", 0, end)
        rest = piece[end:]
        if len(rest) > LONGEST_LINE:
            raise RefusedError(catalogue.LONG_LINE(line=line, limit=LONGEST_LINE >> 20).at(line))
    if rest:
        yield rest


def _pieces_utf16(blocks: Iterator[bytes], encoding: str) -> Iterator[Numbered]:
    decoder = codecs.getincrementaldecoder(encoding)("strict")
    line = 1

    def texts() -> Iterator[bytes]:
        """The blocks as UTF-8, so that both kinds of file are cut into lines by the same code."""
        try:
            for block in blocks:
                yield decoder.decode(block).encode("utf-8")
            yield decoder.decode(b"", final=True).encode("utf-8")
        except UnicodeDecodeError as error:
            raise RefusedError(catalogue.BAD_ENCODING(line=line).at(line)) from error

    for first_line, text in _pieces_8bit(texts()):
        yield first_line, text
        line = first_line + text.count("\n")
