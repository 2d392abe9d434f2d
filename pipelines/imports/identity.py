"""One ewe, one identity: electronic tags, printed tags and a practice's own short tags.

ISO 11784: 15 digits, 3 of country (826 UK, 372 Ireland, 554 New Zealand; 900–998 a manufacturer, 999 test)
and 12 national, without a check digit. A UK sheep tag prints `UK 0`, six digits of flock mark, five of the
animal.
A short tag is text: upper case, inner blanks collapsed, leading zeros kept, since 07 and 7 may be two ewes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pyarrow as pa

from pipelines.imports import catalogue
from pipelines.imports.problems import Fault
from pipelines.imports.text_cells import name

# No test transponder; and no animal is numbered 00000: what was 8.26012E+14 comes back from a spreadsheet as
# 826012000000000.
_DIGITS = 15
_ELECTRONIC = re.compile(r"(?!999|00)\d{10}(?!00000)\d{5}", re.ASCII)
_COUNTRIES = {"UK": "826", "IE": "372", "NZ": "554"}
_PRINTED = re.compile(r"(UK(?=0)|IE|NZ)(\d{12})", re.ASCII)
_NUMBERED = re.compile(r"ID(\d{15})", re.ASCII)  # as our own draw lists write a tag without a printed form
_PART_OF_TAG = re.compile(r"(?:UK|GB|IE|NZ)\d{6,}|[A-Z]{2}\d{9,}|\d+[.,]\d+", re.ASCII)
_SCIENTIFIC = re.compile(r"\d+[.,]\d*E\+?\d+|\d+E\+\d+|\d+E\d\d", re.ASCII)
_DATE = re.compile(
    r"(?:\d{1,2}[-/ ])?(?:JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)[-/ ]\d{2,4}"
    r"|\d{1,2}[-/ ](?:JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)"
    r"|\d{1,2}/\d{1,2}/\d{4}|\d{4}-\d{2}-\d{2}(?: .*)?",
    re.ASCII,
)
_SHORT = re.compile(r"(?=.*\d)[^\W_][\w ./#-]{0,19}|#\d{1,8}")
_SHORT_DIGITS = 8


def canonical_ewe(cell: str) -> str | Fault:
    """The identity of the ewe whose tag is written in `cell`.

    15 digits for electronic and printed tags, else the short tag. A fault when the cell is blank (a warning),
    when a spreadsheet has lost digits, or when it is no tag; nothing is ever completed by guessing.
    """
    if _ELECTRONIC.fullmatch(cell):
        return cell
    words = name(cell.strip().removeprefix("'"), "ewe")
    if isinstance(words, Fault):
        return catalogue.EWE_MISSING() if words.code == "ewe_missing" else words
    return _written(words)


def all_electronic(cells: Sequence[str]) -> bool:
    """Whether every cell is a 15-digit identity already; a fraction of the cost of reading each."""
    return not cells or all_electronic_in(pa.array(cells, pa.string()))


def all_electronic_in(column: pa.StringArray) -> bool:
    """The same of cells (none null) in a column of Arrow's, without a Python object for each."""
    _, offsets, content = column.buffers()
    ends = np.frombuffer(offsets, np.int32)[column.offset : column.offset + len(column) + 1]
    if (np.diff(ends) != _DIGITS).any():
        return False
    cells = np.frombuffer(content, np.uint8)[ends[0] : ends[-1]].reshape(-1, _DIGITS)
    places = np.ascontiguousarray(cells.T) - np.uint8(ord("0"))
    test, low, blank = (places[:3] == 9).all(axis=0), ~places[:2].any(axis=0), ~places[10:].any(axis=0)
    return bool((places <= 9).all() and not (test | low | blank).any())


def _written(words: str) -> str | Fault:
    tag = words.upper()
    joined = re.sub(r"[ -]", "", tag)
    if _SCIENTIFIC.fullmatch(joined):
        return catalogue.EWE_SCIENTIFIC(words)
    if _DATE.fullmatch(tag):
        return catalogue.EWE_TURNED_DATE(words)
    if match := _PRINTED.fullmatch(joined):
        return _electronic(_COUNTRIES[match[1]] + match[2])
    if match := _NUMBERED.fullmatch(joined):
        return _electronic(match[1])
    if joined.isascii() and joined.isdigit() and len(joined) > _SHORT_DIGITS:
        return _digits(joined, words)
    if _PART_OF_TAG.match(joined) or not _SHORT.fullmatch(tag):
        return catalogue.EWE_UNREADABLE(words)
    return tag


def _digits(joined: str, words: str) -> str | Fault:
    if len(joined) == 16 and joined[0] == "0":
        joined = joined[1:]
    return _electronic(joined) if len(joined) == 15 else catalogue.EWE_DIGITS_LOST(words)


def _electronic(digits: str) -> str | Fault:
    if _ELECTRONIC.fullmatch(digits):
        return digits
    return (catalogue.EWE_TEST_CODE if digits.startswith("999") else catalogue.EWE_DIGITS_LOST)(digits)
