"""Text that a spreadsheet leaves as it is.

A spreadsheet turns 826012345600001 into 8.26E+14, 3-4 and MAR1 into dates, 007 into 7 and =x into a formula.
An apostrophe in front does not help: in a CSV it is shown as part of the text. Such a cell is given the word
for what it is in front, 'group 3-4', which no spreadsheet takes for anything but text. Tag layout: ISO 11784,
15 digits, the first three the country; UK printed form 'UK 0 123456 00001'.
"""

from __future__ import annotations

import re

_ELECTRONIC = re.compile(r"\d{15}", re.ASCII)
_UK = re.compile(r"8260(\d{6})(\d{5})", re.ASCII)
_WORD = re.compile(r"[^\W\d_]{3,}")
# the full-width signs count in Excel, as do an apostrophe and blanks that hide a sign
_SIGNS = tuple("=+-@'\t\r\n＝＋－＠")
_DATE_WORD = re.compile(
    r"jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?|nov(ember)?"
    r"|dec(ember)?|(mon|tues?|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?|true|false",
    re.IGNORECASE,
)


def printed_tag(ewe: str) -> str:
    """A tag as printed: 'UK 0 123456 00001', 'ID 372 001234567890', or 'tag 123' for a practice's own."""
    if uk := _UK.fullmatch(ewe):
        return f"UK 0 {uk[1]} {uk[2]}"
    if _ELECTRONIC.fullmatch(ewe):
        return f"ID {ewe[:3]} {ewe[3:]}"
    return f"tag {ewe}"


def as_text(kind: str, cell: str) -> str:
    """`cell`, with the word for its kind in front where it could be read as number, date or formula.

    It stays as it is where one of its words is neither a month, a weekday nor a truth value.
    """
    if not cell or (not cell.lstrip().startswith(_SIGNS) and _has_own_word(cell)):
        return cell
    return f"{kind} {cell}"


def _has_own_word(cell: str) -> bool:
    return any(not _DATE_WORD.fullmatch(word) for word in _WORD.findall(cell))
