"""Damage to cells: identifiers, formulas, dates, scores, numbers, each in every row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from tests.pipelines.imports.torture import (
    Case,
    Clean,
    Family,
    with_cell,
    written,
)


def identifiers(clean: Clean) -> Iterator[Case]:
    if clean.name != "individual":
        return
    lost = (
        "8.26E+14", "8,26E+14", "8.26012E+14", "826012000000000", "826012345600000", "82601234560000",
        "8260123456000010", "826012345600001.0", "UK 0 123456 1", "UK 123456 00001", "123456 00001",
        "12345600001", "Jan-45", "45-Jan", "01/02/2026", "#REF!", "#####", "999000000000001", "UK",
    )  # fmt: skip
    for row, cells in enumerate(clean.rows):
        for text in lost:
            yield written("identifiers", f"{row} {text}", with_cell(clean, row, 3, text))
        digits = cells[3]
        same = (
            "0" + digits, f"UK 0 {digits[4:10]} {digits[10:]}", f"UK{digits[3:10]} {digits[10:]}",
            f"'{digits}", f"uk-0-{digits[4:10]}-{digits[10:]}", f"{digits[:3]} {digits[3:]}", f" {digits} ",
        )  # fmt: skip
        for text in same:
            yield written("identifiers", f"{row} {text}", with_cell(clean, row, 3, text))


def bad_cells(clean: Clean) -> Iterator[Case]:
    texts = (
        "=cmd()", "=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0", "-2+3+cmd|x!A0",
        "#REF!", "#N/A", "#DIV/0!", "#####", "\ufffd", "a\x07b", "a\u200bb", "\u202eabc", "x" * 4000,
    )  # fmt: skip
    for row in range(len(clean.rows)):
        for column in range(len(clean.headings)):
            for text in texts:
                name = f"{clean.name} {row} {column} {text[:12]!r}"
                yield written("formulas and marks", name, with_cell(clean, row, column, text))


def dates(clean: Clean) -> Iterator[Case]:
    column = 5 if clean.name == "register" else 1
    name = "rams_in" if clean.name == "register" else "scored_on"
    day = date(2026, 10, 25) if clean.name == "register" else date(2026, 8, 4)
    same = (
        f"{day:%d/%m/%Y}",
        f"{day:%d.%m.%Y}",
        f"{day:%d-%b-%Y}",
        f"{day:%Y%m%d}",
        f"{day:%Y-%m-%d} 00:00:00",
    )
    wrong = (
        "08/14/2026", "2026-14-08", "31/02/2026", "14/08/26", "46248", "2206-08-14", "0026-08-14", "14 08",
        "8/2026", "yesterday", "", "2026-08-14x", "1/2/3",
        f"{day:%m/%d/%Y}" if day.day > 12 else "13/13/2026",
    )  # fmt: skip
    for row in range(len(clean.rows)):
        for text in (*same, *wrong):
            yield written("dates", f"{clean.name} {row} {text}", with_cell(clean, row, column, text))
        if name == "scored_on":
            yield written(
                "dates", f"{clean.name} {row} tomorrow", with_cell(clean, row, column, "2026-11-26")
            )
    if name == "scored_on":
        yield from _month_first(clean)


def _month_first(clean: Clean) -> Iterator[Case]:
    """4 August written 08/04 by a file that elsewhere writes 08/14: reading it as 8 April would be silent."""
    for row in range(len(clean.rows)):
        rows = [list(cells) for cells in clean.rows]
        for cells in rows:
            cells[1] = "08/04/2026"
        rows[row][1] = "08/14/2026"
        lines = replace(clean, rows=tuple(map(tuple, rows))).lines()
        yield written("dates", f"{clean.name} {row} month first", lines)


def scores(clean: Clean) -> Iterator[Case]:
    if clean.name not in ("individual", "tally"):
        return
    column = clean.headings.index("score")
    good = {
        2.5: ("2.5", "2.50", '"2,5"', "2½", "2 ½", "2 1/2", " 2.5 "),
        2.25: ("2.25", '"2,25"', "2¼", "2 1/4", "2+"),
        2.75: ("2.75", '"2,75"', "2¾", "2 3/4", "3-"),
        3.0: ("3", "3.0", "3.00", '"3,0"'),
    }
    bad = ("7", "0", "0.75", "5.25", "5+", "1-", "2,5", "2.3", "2.", ".5", "21/2", "2-3", "2/3", "02-May",
           "two", "", "2.5.", "25", "-2", "2+-", "2++", "½", "2e0", "NaN", "2 5", "２")  # fmt: skip
    for row in range(len(clean.rows)):
        for text in bad:
            yield written("scores", f"{clean.name} {row} {text}", with_cell(clean, row, column, text))
        for score, texts in good.items():
            if clean.means[row] and dict(clean.means[row][0])["score"] == score:
                for text in texts:
                    yield written("scores", f"{clean.name} {row} {text}", with_cell(clean, row, column, text))
    semicolons = [
        replace(line, text=line.text.replace('"', "").replace(".", ",")) for line in clean.lines(";")
    ]
    if clean.name == "tally":
        yield written("scores", f"{clean.name} semicolons and decimal commas", semicolons)


def numbers(clean: Clean) -> Iterator[Case]:
    columns = [
        at
        for at, name in enumerate(clean.headings)
        if name in ("count", "ewes", "weight_kg", "2", "2.5", "3")
    ]
    for row in range(len(clean.rows)):
        for column in columns:
            for text in ("-1", "1.5.5", "1 000", "1,000", '"1,000"', "1e3", "12.5x", "three", "9999999999",
                         "+4", "0x10", "½", "4 kg", "NaN", "inf"):  # fmt: skip
                yield written(
                    "numbers", f"{clean.name} {row} {column} {text}", with_cell(clean, row, column, text)
                )


FAMILIES: tuple[Family, ...] = (
    identifiers,
    bad_cells,
    dates,
    scores,
    numbers,
)
