"""Plan the visit: how many to score, when to stop, which thin ewes to examine, what to feed."""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.brief.choices import Choices
from dashboard.brief.examine import examine
from dashboard.brief.feed import by_system, feed, feed_values, of_one_score
from dashboard.brief.next_time import ewes_to_score, expected, next_time, precision
from dashboard.brief.parts import Part
from dashboard.brief.stop import mistakes, stop
from dashboard.brief.tables import Tables
from dashboard.components import filters, frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded
from dashboard.components.picture import picture
from dashboard.figures.precision import precision as drawn
from pipelines.readiness.energy import weight_systems

NOTHING = "–"
WITHIN = (3, 5, 7, 10, 15, 20)
MEAN = (0.1, 0.15, 0.2, 0.25, 0.3)
CONFIDENCE = (80, 90, 95, 99)
SENSITIVITY = (50, 60, 70, 80, 90, 95, 99, 100)


def page(code: str, choices: Choices, data: Tables | str) -> list[Component]:
    """The whole page; `data` is a sentence where the visit cannot be planned."""
    if isinstance(data, str):
        return [
            html.H1("Plan the visit"),
            notice.empty(words.sentence(data), "Or", "/", "see all flocks."),
        ]
    path = links.visit(code)
    sections = (_next_time, _stop, _examine, _feed)
    return [
        html.A("← The farm", href=links.farm(code, data.season), className="back"),
        html.H1("Plan the visit"),
        html.P(_about(data), className="about"),
        html.P(html.A("Print this as a work sheet (PDF)", download="", className="button",
                      href=links.printed("work-sheet.pdf", choices.search(), code))),
        html.Form(
            [*_kept(choices), *(make(code, choices, data) for make in sections)],
            action=path,
            method="get",
            className="plan",
            **attributes(data_filters="", aria_label="What the plan is for"),
        ),
        notice.caution(feeding=True),
        frame.as_of(words.day(data.as_of)),
    ]  # fmt: skip


def _about(data: Tables) -> str:
    row, dates = data.register(), data.dates()
    name = words.text(row.get("name"), data.farm)
    left = words.days_away((dates.ready_by - data.as_of).days)
    return f"{name} · {words.count(row['ewes'], 'ewe')} · ready by {words.day(dates.ready_by)} ({left})"


def _kept(choices: Choices) -> list[Component]:
    """A season other than the one in hand stays in the link when something is chosen."""
    return [] if choices.season is None else [dcc.Input(type="hidden", name="season", value=choices.season)]


def _next_time(code: str, choices: Choices, data: Tables) -> Component:
    know = expected(data, choices.flock)
    fields = [
        _choice("within", "Share thin within ± points", WITHIN, choices.within),
        _choice("mean", "Mean score within ±", MEAN, choices.mean),
        filters.number("flock", "Ewes in the flock or group", know.flock, (1, 99_999), 1),
    ]
    figure = drawn(precision(data, choices.flock), ewes_to_score(data, choices), choices.within / 100)
    table = links.printed("precision.csv", choices.search(), code)
    worth = folded(
        html.Span(figure.layout["meta"]["title"]),
        [picture(ids.PRECISION, figure, table)],
        handle_at_desk=False,
    )
    return _section(next_time(data, choices), fields, worth)


def _stop(_code: str, choices: Choices, data: Tables) -> Component:
    errs = mistakes(data, choices)
    return html.Section([*_part(stop(data, choices)), folded(html.H3(errs.title), _said(errs))])


def _examine(_code: str, choices: Choices, data: Tables) -> Component:
    fields = [
        filters.number("prevalence", "Not to be missed: % of them", choices.prevalence, (1, 100), 1),
        _choice("confidence", "Confidence, %", CONFIDENCE, choices.confidence),
        _choice("sensitivity", "The test finds, % of cases", SENSITIVITY, choices.sensitivity),
        filters.number("negatives", "Negatives to judge", choices.negatives, (1, 9_999), 1),
    ]
    return _section(examine(data, choices), fields, fold_table="Cause by cause: the usual samples")


def _feed(_code: str, choices: Choices, data: Tables) -> Component:
    given = feed_values(choices)
    systems = [(name, name) for name in weight_systems()]
    fields = [
        filters.number("weight", "Weight of a ewe, kg", choices.weight, (20, 150), 0.5),
        filters.choice("system", "Weight of one score", systems, choices.system, "All systems"),
        filters.number("pasture", "Grazing, MJ/kg dry matter", given.pasture_mj, (6, 14), 0.1),
        filters.number("supplement", "Supplement, MJ/kg dry matter", given.supplement_mj, (6, 16), 0.1),
        filters.number("cover", "Dry matter, kg per hectare", given.cover, (50, 5_000), 10),
    ]
    more = [each for part in (of_one_score(choices), by_system(choices)) for each in _part(part, html.H3)]
    return _section(
        feed(data, choices), fields, html.Details([html.Summary("How the systems differ"), *more])
    )


def _section(part: Part, fields: list[Component], *more: Component, fold_table: str = "") -> Component:
    said = _said(part, "answer", fold_table)
    return html.Section([html.H2(part.title), html.Div(fields, className="filters"), *said, *more])


def _choice(name: str, label: str, usual: tuple[float, ...], chosen: float) -> Component:
    """The usual values, and the one chosen by link where it is another."""
    values = [f"{value:g}" for value in sorted({*usual, chosen})]
    return filters.choice(name, label, [(value, value) for value in values], f"{chosen:g}", None)


def _part(part: Part, heading: Any = html.H2) -> list[Component]:
    return [heading(part.title), *_said(part)]


def _said(part: Part, style: str | None = None, fold_table: str = "") -> list[Component]:
    """A part in words: sentences (the first in `style`), its table, what to beware of, sources in small.

    With `fold_table` a phone folds a long table under that handle.
    """
    said: list[Component] = [
        html.P(sentence, className=None if place else style) for place, sentence in enumerate(part.sentences)
    ]
    if part.lines:
        table = _table(part)
        said.append(folded(html.Span(fold_table), [table], handle_at_desk=False) if fold_table else table)
    if part.cautions:
        said.append(html.Ul([html.Li(caution) for caution in part.cautions], className="cautions"))
    return said + [html.P(source, className="sources") for source in part.sources]


def _table(part: Part) -> Component:
    head = html.Thead(html.Tr([html.Th(name, scope="col") for name in part.head]))
    lines = [_line(part.head, line) for line in part.lines]
    return html.Table([head, html.Tbody(lines)], className="advice figures" if _short(part) else "advice")


def _short(part: Part) -> bool:
    """Whether the table is narrow enough for a phone as it is: no cell is longer than a few figures."""
    return len(part.head) <= 5 and all(len(cell) <= 16 for line in part.lines for cell in line)


def _line(head: tuple[str, ...], line: tuple[str, ...]) -> Component:
    cells = zip(head[1:], line[1:], strict=True)
    rest = [
        html.Td(cell, className="none" if cell in ("", NOTHING) else None, **attributes(data_label=name))
        for name, cell in cells
    ]
    return html.Tr([html.Th(line[0], scope="row"), *rest])
