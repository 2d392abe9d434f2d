"""Damage to rows: separators, quotation marks, blank and totals rows, at every row and column."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tests.pipelines.imports.torture import (
    Case,
    Clean,
    Family,
    Line,
    cells_of,
    with_line,
    written,
)


def extra_delimiter(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(len(lines)):
        for column in range(len(clean.headings) + 1):
            cells = cells_of(clean, at)
            text = ",".join([*cells[:column], "", *cells[column:]])
            yield written("extra delimiter", f"{clean.name} {at} {column}", with_line(lines, at, text))


def missing_delimiter(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(len(lines)):
        for column in range(len(clean.headings) - 1):
            cells = cells_of(clean, at)
            text = ",".join([*cells[:column], cells[column] + cells[column + 1], *cells[column + 2 :]])
            yield written("missing delimiter", f"{clean.name} {at} {column}", with_line(lines, at, text))


def shifted_row(clean: Clean) -> Iterator[Case]:
    for at, cells in enumerate(clean.rows, start=1):
        for name, moved in (("left", [*cells[1:], ""]), ("right", ["", *cells[:-1]])):
            yield written(
                "shifted row", f"{clean.name} {at} {name}", with_line(clean.lines(), at, ",".join(moved))
            )


def stray_quote(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(len(lines)):
        for column in range(len(clean.headings)):
            cell = cells_of(clean, at)[column]
            middle = len(cell) // 2
            for name, text in (
                ("before", f'"{cell}'),
                ("after", f'{cell}"'),
                ("within", f'{cell[:middle]}"{cell[middle:]}'),
                ("twice", f'""{cell}'),
            ):
                cells = cells_of(clean, at)
                cells[column] = text
                yield written(
                    "stray quote",
                    f"{clean.name} {at} {column} {name}",
                    with_line(lines, at, ",".join(cells)),
                )


def quotes_over_rows(clean: Clean) -> Iterator[Case]:
    """A mark opened in one row and closed in another would swallow the rows between."""
    for first in range(1, len(clean.rows)):
        for last in range(first + 1, len(clean.rows) + 1):
            lines = clean.lines()
            lines = with_line(lines, first, '"' + lines[first].text)
            lines = with_line(lines, last, lines[last].text + '"')
            yield written("quotes over rows", f"{clean.name} {first}-{last}", lines)
            cut = lines[first].text.rindex(",") + 1
            inner = with_line(
                clean.lines(), first, clean.lines()[first].text[:cut] + '"' + clean.lines()[first].text[cut:]
            )
            inner = with_line(inner, last, '"' + inner[last].text)
            yield written("quotes over rows", f"{clean.name} {first}-{last} inner", inner)


def good_quotes(clean: Clean) -> Iterator[Case]:
    def quoted(cell: str) -> str:
        return cell if cell.startswith('"') else f'"{cell}"'

    for column in range(len(clean.headings)):
        rows = tuple(
            tuple(quoted(cell) if at == column else cell for at, cell in enumerate(cells))
            for cells in clean.rows
        )
        yield written("good quotes", f"{clean.name} {column}", replace(clean, rows=rows).lines())
    everywhere = replace(
        clean,
        headings=tuple(map(quoted, clean.headings)),
        rows=tuple(tuple(map(quoted, cells)) for cells in clean.rows),
    )
    for delimiter in (",", ";", "\t"):
        yield written("good quotes", f"{clean.name} all {delimiter!r}", everywhere.lines(delimiter))


def other_delimiter(clean: Clean) -> Iterator[Case]:
    for delimiter in (";", "\t", "|", ":", " "):
        yield written("other delimiter", f"{clean.name} all {delimiter!r}", clean.lines(delimiter))
        lines = clean.lines()
        for at in range(len(lines)):
            other = clean.lines(delimiter)[at].text
            yield written("other delimiter", f"{clean.name} {at} {delimiter!r}", with_line(lines, at, other))
            for column in range(len(clean.headings) - 1):
                cells = cells_of(clean, at)
                text = ",".join(cells[: column + 1]) + delimiter + ",".join(cells[column + 1 :])
                yield written(
                    "other delimiter",
                    f"{clean.name} {at} {column} {delimiter!r}",
                    with_line(lines, at, text),
                )


def blank_rows(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(len(lines) + 1):
        for name, text in (
            ("empty", ""),
            ("spaces", "   "),
            ("commas", "," * (len(clean.headings) - 1)),
            ("fewer commas", ",,"),
            ("quoted", ",".join(['""'] * len(clean.headings))),
        ):
            yield written("blank rows", f"{clean.name} {at} {name}", [*lines[:at], Line(text), *lines[at:]])


def totals_rows(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    width = len(clean.headings)
    for at in range(2, len(lines) + 1):
        for word in ("Total", "TOTAL:", "sum", "Mean", "average", "Grand total"):
            for place in range(3):
                for filled in (False, True):
                    cells = list(clean.rows[0]) if filled else [""] * (width - 1) + ["300"]
                    cells[place] = word
                    name = f"{clean.name} {at} {word} {place} {filled}"
                    yield written("totals rows", name, [*lines[:at], Line(",".join(cells)), *lines[at:]])


def trailing_commas(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()

    def longer(chosen: set[int], more: str) -> list[Line]:
        return [replace(line, text=line.text + more * (at in chosen)) for at, line in enumerate(lines)]

    everywhere = set(range(len(lines)))
    for more in (",", ",,", ",,,,,,,,"):
        yield written("trailing commas", f"{clean.name} all {more}", longer(everywhere, more))
        yield written("trailing commas", f"{clean.name} rows {more}", longer(everywhere - {0}, more))
        for at in everywhere:
            yield written("trailing commas", f"{clean.name} {at} {more}", longer({at}, more))
            yield written("trailing commas", f"{clean.name} not {at} {more}", longer(everywhere - {at}, more))


def line_break_in_cell(clean: Clean) -> Iterator[Case]:
    for row in range(len(clean.rows)):
        for column in range(len(clean.headings)):
            cells = [*clean.rows[row]]
            before, after = ",".join([*cells[:column], '"first']), ",".join(['second"', *cells[column + 1 :]])
            lines = clean.lines()
            broken = [Line(before, lines[row + 1].means, True), Line(after)]
            yield written(
                "line break in a cell",
                f"{clean.name} {row} {column}",
                [*lines[: row + 1], *broken, *lines[row + 2 :]],
            )


def line_break_in_row(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(1, len(lines)):
        for cut in range(1, len(lines[at].text)):
            halves = [replace(lines[at], text=lines[at].text[:cut]), Line(lines[at].text[cut:])]
            name = f"{clean.name} {at} {cut}"
            yield written("line break in a row", name, [*lines[:at], *halves, *lines[at + 1 :]])


def repeated_rows(clean: Clean) -> Iterator[Case]:
    lines = clean.lines()
    for at in range(1, len(lines)):
        again = replace(lines[at], means=(), is_row=True)
        yield written("repeated rows", f"{clean.name} {at}", [*lines[: at + 1], again, *lines[at + 1 :]])


FAMILIES: tuple[Family, ...] = (
    extra_delimiter,
    missing_delimiter,
    shifted_row,
    stray_quote,
    quotes_over_rows,
    good_quotes,
    other_delimiter,
    blank_rows,
    totals_rows,
    trailing_commas,
    line_break_in_cell,
    line_break_in_row,
    repeated_rows,
)
