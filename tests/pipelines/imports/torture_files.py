"""Damage to whole files: titles, headings, several tables, encodings, halves, files that are no table."""

from __future__ import annotations

import codecs
import gzip
import io
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import openpyxl

from pipelines.imports import Context
from tests.pipelines.imports.torture import (
    TODAY,
    Case,
    Clean,
    Family,
    Line,
    cleans,
    meanings,
    record,
    written,
)


def preamble(clean: Clean) -> Iterator[Case]:
    titles = (
        ["Condition scores 2026"],
        ["Hafod Bryn", "", "scored by Wyn"],
        ["Farm,HB7"],
        ["Farm:,HB7,,,", "Date:,2026-08-04"],
        ["sep=,"],
        ["", ""],
        ["Title with, commas, in it"],
        [",,,,,,"],
        ['A "title" with marks'],
        ["x"] * 40,
    )
    for number, texts in enumerate(titles):
        yield written("preamble", f"{clean.name} {number}", [*map(Line, texts), *clean.lines()])
    lines = clean.lines()
    yield written("preamble", f"{clean.name} headings last", [*lines[1:], lines[0]])
    yield written("preamble", f"{clean.name} headings second", [lines[1], lines[0], *lines[2:]])
    yield written("preamble", f"{clean.name} no headings", lines[1:])


def several_headings(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    units = Line(",".join(["text", "dd/mm/yyyy", "name", *["n"] * (len(clean.headings) - 3)]))
    swapped = Line(
        ",".join([clean.headings[2], *clean.headings[1:2], clean.headings[0], *clean.headings[3:]])
    )
    shouted = Line(lines[0].text.upper().replace("_", " "))
    for at in range(1, len(lines) + 1):
        for name, extra in (("same", lines[0]), ("shouted", shouted), ("units", units), ("other", swapped)):
            means = lines[at:]
            if name == "other":
                means = [_as_swapped(line) for line in means]
            yield written("several headings", f"{clean.name} {at} {name}", [*lines[:at], extra, *means])


def _as_swapped(line: Line) -> Line:
    """The row written with its first and third cells exchanged, as the second line of headings says."""
    cells = line.text.split(",")
    return replace(line, text=",".join([cells[2], cells[1], cells[0], *cells[3:]]))


def several_tables(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for other in cleans():
        for gap in ([], [Line("")], [Line(""), Line("Second table"), Line("")]):
            yield written(
                "several tables", f"{clean.name} then {other.name} {len(gap)}", [*lines, *gap, *other.lines()]
            )
    beside = [
        Line(f"{line.text},,{extra.text}", line.means, line.is_row)
        for line, extra in zip(lines, [Line("price,weight"), *[Line("3.10,44")] * 9], strict=False)
    ]
    yield written("several tables", f"{clean.name} beside", beside)


def line_ends(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for end in ("\r\n", "\r"):
        yield written("line ends", f"{clean.name} {end!r}", lines, end=end)
    for seed in range(12):
        chance = random.Random(seed)
        text = "".join(line.text + chance.choice(["\n", "\r\n"]) for line in lines)
        yield Case("line ends", f"{clean.name} mixed {seed}", text.encode(), meanings(lines))
    for end in ("\n", "\r\n"):
        text = end.join(line.text for line in lines)
        yield Case("line ends", f"{clean.name} none at the end {end!r}", text.encode(), meanings(lines))
    for at in range(len(lines) - 1):
        joined = Line(lines[at].text + lines[at + 1].text, lines[at].means + lines[at + 1].means, True)
        yield written("line ends", f"{clean.name} {at} lost", [*lines[:at], joined, *lines[at + 2 :]])


def encodings(clean: Clean) -> Iterator[Case]:
    for letter in ("", "é", "½ ŵ", "—"):
        lines = _renamed(clean, letter) if letter else clean.lines()
        for name in (
            "utf-8",
            "utf-8-sig",
            "utf-16",
            "utf-16-le",
            "utf-16-be",
            "cp1252",
            "latin-1",
            "cp850",
            "utf-32",
        ):
            try:
                yield written(
                    "encodings", f"{clean.name} {name} {letter}", lines, lambda text, n=name: text.encode(n)
                )
            except UnicodeEncodeError:
                continue
        yield written("encodings", f"{clean.name} be mark {letter}", lines, _utf16_be)
    mixed = "".join(line.text + "\n" for line in _renamed(clean, "é"))
    for at in range(1, len(clean.rows)):
        parts = mixed.split("\n")
        content = "\n".join(parts[:at]).encode() + b"\n" + "\n".join(parts[at:]).encode("cp1252")
        yield Case("encodings", f"{clean.name} mixed {at}", content, meanings(_renamed(clean, "é")))


def _utf16_be(text: str) -> bytes:
    return codecs.BOM_UTF16_BE + text.encode("utf-16-be")


def _renamed(clean: Clean, letter: str) -> list[Line]:
    """The file with another name in the third column (the group) and what it then means."""
    if clean.name == "register":
        return clean.lines()
    lines = [clean.lines()[0]]
    for cells, means in zip(clean.rows, clean.means, strict=True):
        name = f"{cells[2]} {letter}"
        renamed = tuple(record(**{**dict(meaning), "group": name}) for meaning in means)
        lines.append(Line(",".join([*cells[:2], name, *cells[3:]]), renamed, True))
    return lines


def damaged_bytes(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    content = "".join(line.text + "\n" for line in lines).encode()
    for offset in range(0, len(content), 7):
        for name, byte in (("nul", b"\0"), ("mark", codecs.BOM_UTF8), ("escape", b"\x1b")):
            changed = content[:offset] + byte + content[offset:]
            yield Case("damaged bytes", f"{clean.name} {name} {offset}", changed, meanings(lines))


def headings(clean: Clean) -> Iterator[Case]:
    rows = clean.lines()[1:]
    for at, heading in enumerate(clean.headings):
        for name, text in (
            ("lost", ""),
            ("unknown", "Quux"),
            ("twice", clean.headings[at - 1]),
            ("shouted", f"  {heading.upper().replace('_', ' ')} "),
        ):
            changed = [*clean.headings]
            changed[at] = text
            dropped = {text: heading} if name == "unknown" else {}
            yield written(
                "headings", f"{clean.name} {at} {name}", [Line(",".join(changed)), *rows], dropped=dropped
            )
    for seed in range(10):
        order = [*range(len(clean.headings))]
        random.Random(seed).shuffle(order)
        moved = replace(
            clean,
            headings=tuple(clean.headings[at] for at in order),
            rows=tuple(tuple(cells[at] for at in order) for cells in clean.rows),
        )
        yield written("headings", f"{clean.name} order {seed}", moved.lines())


def concatenated(clean: Clean) -> Iterator[Case]:
    for other in cleans():
        for name, between, mark in (("newline", "\n", ""), ("nothing", "", ""), ("mark", "\n", "\ufeff")):
            first, second = clean.lines(), other.lines()
            if between:
                lines = [*first, replace(second[0], text=mark + second[0].text), *second[1:]]
            else:
                seam = Line(first[-1].text + second[0].text, first[-1].means, True)
                lines = [*first[:-1], seam, *second[1:]]
            yield written("two files in one", f"{clean.name} {other.name} {name}", lines)


def half_a_file(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    content = "".join(line.text + "\n" for line in lines).encode()
    for length in range(1, len(content), 3):
        kept = lines[: content[:length].count(b"\n") + (not content[:length].endswith(b"\n"))]
        yield Case("half a file", f"{clean.name} {length}", content[:length], meanings(kept))


def not_a_table(clean: Clean) -> Iterator[Case]:
    book = openpyxl.Workbook()
    book.active.append(clean.headings)
    saved = io.BytesIO()
    book.save(saved)
    text = "".join(line.text + "\n" for line in clean.lines()).encode()
    contents = {
        "workbook": saved.getvalue(),
        "old workbook": bytes.fromhex("d0cf11e0a1b11ae1") + text,
        "compressed": gzip.compress(text, mtime=0),
        "pdf": b"%PDF-1.7\n" + text,
        "picture": b"\x89PNG\r\n" + text,
        "empty": b"",
        "blank": b" \r\n\n",
        "headings only": text.split(b"\n")[0] + b"\n",
        "page": b"<html><body><table><tr><td>farm</td></tr></table></body></html>",
        "json": b'[{"farm": "HB7", "score": 2.5}]',
    }
    for seed in range(10):
        contents[f"random {seed}"] = random.Random(seed).randbytes(400)
    for name, content in contents.items():
        yield Case("not a table", f"{clean.name} {name}", content, {})


def options(clean: Clean) -> Iterator[Case]:
    """What is given with the import fills a missing column and contradicts a present one."""
    if clean.name == "register":
        return
    told = Context(today=TODAY, farm="HB7", scored_on=date(2026, 8, 4))
    cut = replace(clean, headings=clean.headings[2:], rows=tuple(cells[2:] for cells in clean.rows))
    yield written("options", f"{clean.name} missing", cut.lines(), context=told)
    yield written("options", f"{clean.name} agreeing", clean.lines(), context=told)
    for other in (
        replace(told, farm="XX1"),
        replace(told, scored_on=date(2026, 8, 5)),
        replace(told, group="Others"),
    ):
        yield written("options", f"{clean.name} other {other.farm}", clean.lines(), context=other)
    for unusable in (
        replace(told, farm=" "),
        replace(told, group="ALL"),
        replace(told, scored_on=date(2026, 12, 1)),
    ):
        yield written("options", f"{clean.name} unusable", cut.lines(), context=unusable)


FAMILIES: tuple[Family, ...] = (
    preamble,
    several_headings,
    several_tables,
    line_ends,
    encodings,
    damaged_bytes,
    headings,
    concatenated,
    half_a_file,
    not_a_table,
    options,
)
