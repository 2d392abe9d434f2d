"""The brief's working lists: groups to draw, last useful dates, ewes by tag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, KeepTogether, Spacer, Table

from dashboard.brief import drawing, typeface, words
from dashboard.brief.blocks import heading, table
from dashboard.brief.content import HOLD, Brief, Ewe
from dashboard.brief.typeface import paragraph, style
from dashboard.spreadsheet import printed_tag

LONGEST_LIST = 38  # lines of tags printed: more would need a fifth page, and the draw list has them all
TAG_COLUMNS = 4


def drawing_out(brief: Brief, width: float) -> Iterator[Any]:
    """Groups to draw and where to graze, the last useful dates, and the ewes by tag."""
    if brief.draws:
        yield CondPageBreak(50 * mm)
        yield from heading("Groups to draw, and where to graze them", width)
        yield _draws(brief, width)
    if brief.last_dates and brief.ready_by:
        said = (
            f"Last day to start, so as to be ready by {words.day(brief.ready_by)}: at the usual rate of "
            "gain, and to be safe at a slow one (only one group in twenty gains more slowly)."
        )
        yield KeepTogether([*heading("Last useful dates", width, said), _last_dates(brief, width)])
    if not brief.scores:
        return
    yield CondPageBreak(50 * mm)
    yield from heading("Ewes to draw, by tag", width, _about_tags(brief))
    yield from _tags([ewe for ewe in brief.ewes if ewe.action != HOLD], width)


def _about_tags(brief: Brief) -> str:
    if not brief.ewes:
        return "No ewe outside the band was recorded by tag: draw by hand at the race, by the scores above."
    held = sum(ewe.action == HOLD for ewe in brief.ewes)
    left = (
        f" {words.count(held, 'ewe')} below the line may stay, being likely ready where they are."
        if held
        else ""
    )
    return f"Tag, score, chance of being ready; * thin in three sessions or more.{left}"


def _draws(brief: Brief, width: float) -> Table:
    small = style(7)
    names = ("Group", "Ewes", "To gain", "Unlikely in time", "Over", "Now on", "Where to graze")
    lines = [[paragraph(name, style(7, typeface.BOLD)) for name in names]]
    for each in brief.draws:
        figures = [f"{number:,}" for number in (each.ewes, each.to_gain, each.unlikely, each.over)]
        cells = [words.cut(each.group, 40), *figures, each.grazing, each.advice]
        lines.append([paragraph(cell, small) for cell in cells])
    fixed = [36 * mm, 11 * mm, 14 * mm, 16 * mm, 10 * mm, 17 * mm]
    return table(lines, [*fixed, width - sum(fixed)], head=True)


def _last_dates(brief: Brief, width: float) -> Table:
    names = ("Score", "Ewes", "Best grazing", "to be safe", "Ordinary grazing", "to be safe")
    lines = [[paragraph(name, style(7.5, typeface.BOLD)) for name in names]]
    as_of = brief.masthead.as_of
    for line in brief.last_dates:
        days = (line.best, line.best_cautious, line.ordinary, line.ordinary_cautious)
        said = [f"{words.day(day)}{' (past)' if day < as_of else ''}" for day in days]
        lines.append(
            [paragraph(cell, style(7.5)) for cell in (words.score(line.score), f"{line.ewes:,}", *said)]
        )
    return table(lines, [16 * mm, 14 * mm, *[(width - 30 * mm) / 4] * 4], head=True)


def _tags(ewes: Sequence[Ewe], width: float) -> Iterator[Any]:
    left, printed_ewes = LONGEST_LIST, 0
    for (action, group), same in groupby(ewes, key=lambda ewe: (ewe.action, ewe.group)):
        members = list(same)
        shown = members[: max(0, left - 1) * TAG_COLUMNS]
        if shown:
            yield CondPageBreak(14 * mm)
            title = f"{action[:1].upper()}{action[1:]} · {words.cut(group, 40)} ({len(members):,})"
            yield Spacer(1, 4)
            yield paragraph(title, style(7.5, typeface.BOLD, after=1))
            yield _columns(shown, width)
        left -= 1 + -(-len(shown) // TAG_COLUMNS)
        printed_ewes += len(shown)
    if len(ewes) > printed_ewes:
        yield paragraph(f"and {len(ewes) - printed_ewes:,} more: see the draw list.", style(8, typeface.BOLD))
    yield Spacer(1, 8)


def _columns(ewes: Sequence[Ewe], width: float) -> Table:
    """Ewes down the columns, with a box to tick in front of each."""
    tall = -(-len(ewes) // TAG_COLUMNS)
    each = width / TAG_COLUMNS
    lines = [
        [
            _ticked(ewes[at], each - 5) if (at := row + column * tall) < len(ewes) else ""
            for column in range(TAG_COLUMNS)
        ]
        for row in range(tall)
    ]
    return table(lines, [each] * TAG_COLUMNS, tight=True)


def _ticked(ewe: Ewe, width: float) -> Drawing:
    """Box, tag, score and chance of one ewe."""
    entry = Drawing(width, 8.5)
    entry.add(Rect(0, 0.6, 6, 6, fillColor=None, strokeColor=black, strokeWidth=0.5))
    tag = printed_tag(ewe.ewe) + ("*" if ewe.thin_sessions >= 3 else "")
    entry.add(drawing.text(9, 1.2, typeface.fitted(tag, width - 46, 6.3), 6.3))
    entry.add(drawing.text(width - 25, 1.2, words.score(ewe.score), 6.3, bold=True, anchor="end"))
    if ewe.chance is not None:
        entry.add(drawing.text(width, 1.2, _short_chance(ewe.chance), 6.3, anchor="end"))
    return entry


def _short_chance(chance: float) -> str:
    return words.chance(chance).replace("under ", "< ").replace("over ", "> ")
