"""Which farm was meant by a code that the register does not have: farm codes differ in case."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

UNKNOWN = "unknown_farm"  # the published problem of rows whose farm is in no register
MOST = 3
NEAR = 0.75  # of the letters in the same order; a slip of one letter in five leaves 0.8


def alike(wanted: str, known: Mapping[str, str]) -> list[str]:
    """At most `MOST` codes of `known` (code → name) that `wanted` may stand for: the same in another case, a
    farm's name, else what is written nearly so."""
    plain = _plain(wanted)
    if not plain:
        return []
    same = [code for code, name in known.items() if plain in (_plain(code), _plain(name))]
    if same:
        return same[:MOST]
    codes = {_plain(code): code for code in known}
    return [codes[each] for each in get_close_matches(plain, codes, MOST, NEAR)]


def did_you_mean(wanted: str, known: Mapping[str, str]) -> str:
    """`Did you mean BRIAR (Briar Hill)?`, or nothing where no code is like it."""
    found = [f"{code} ({known[code]})" if known[code] else code for code in alike(wanted, known)]
    return f"Did you mean {' or '.join(found)}?" if found else ""


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()
