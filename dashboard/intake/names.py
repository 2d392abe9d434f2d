"""The name of a file as a visitor's browser gives it, made harmless."""

from __future__ import annotations

import re
import unicodedata

LONGEST_BYTES = 120
NAMELESS = "file.csv"
_NOT_IN_NAMES = re.compile(r'[<>:"|?*]')  # no file may be called so on Windows
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")


def base_name(written: str) -> str:
    """The last part of a path, without control characters, hidden-file dots or what a disk cannot keep.

    Cut to `LONGEST_BYTES` with its ending kept.
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", written))[-1]
    seen = "".join(" " if unicodedata.category(sign)[0] in "CZ" else sign for sign in last)
    name = " ".join(_NOT_IN_NAMES.sub("-", seen).split()).strip(". ")
    if not name or _RESERVED.fullmatch(name):
        return NAMELESS
    return _cut(name)


def _cut(name: str) -> str:
    stem, dot, ending = name.rpartition(".")
    if not dot or len(ending) > 5:
        stem, ending = name, ""
    room = LONGEST_BYTES - len((dot + ending).encode() if ending else b"")
    stem = stem.encode()[:room].decode(errors="ignore").rstrip(". ")
    return f"{stem}.{ending}" if ending else stem
