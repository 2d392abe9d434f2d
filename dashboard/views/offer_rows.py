"""The rows of an offered file as they stand in it, each problem at its cell with what to do about it."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components import words
from dashboard.components.attributes import attributes
from dashboard.views.offer_words import in_words
from pipelines.imports.preview import Heading, Preview, Row
from pipelines.imports.problems import Problem
from pipelines.warehouse.looking import Look

GENERAL_SHOWN = 8


def section(look: Look) -> list[Component]:
    """What is wrong with the whole file, then its first rows and those with problems."""
    preview = look.preview
    told = _general([problem for problem in preview.general if not _is_asked(problem, preview)])
    if not preview.rows:
        return told
    return [
        *told,
        html.Section(
            [
                html.H2("Rows"),
                html.P(
                    "The first ones, and those to look at. A refused row stays out: import without it, or "
                    "put it right in the file and bring that.",
                    className="about",
                ),
                html.Div(_table(preview), className="sheet", tabIndex=0, role="region",
                         **attributes(aria_label="Rows of the file")),
            ]
        ),
    ]  # fmt: skip


def _is_asked(problem: Problem, preview: Preview) -> bool:
    """Whether the page asks about it elsewhere: a heading that is not known, a column that is missing."""
    return bool(preview.headings) and (
        problem.code in ("heading_unknown", "headings_not_found")
        or (problem.code == "column_missing" and problem.column in preview.missing)
    )


def _general(problems: Sequence[Problem]) -> list[Component]:
    if not problems:
        return []
    worst = sorted(problems, key=lambda problem: problem.severity != "error")
    items = [_told(problem) for problem in worst[:GENERAL_SHOWN]]
    more = len(problems) - GENERAL_SHOWN
    return [
        html.Section(
            [
                html.H2("About the file"),
                html.Ul(items, className="told"),
                html.P(f"and {more:,} more, named when it is imported.") if more > 0 else None,
            ]
        )
    ]


def _told(problem: Problem) -> Component:
    place = f"Line {problem.line}: " if problem.line else ""
    return html.Li(place + words.sentence(problem.message), className=f"severity-{problem.severity}")


def _table(preview: Preview) -> Component:
    head = [html.Tr([html.Th("Line", scope="col"), *(_heading(heading) for heading in preview.headings)])]
    body: list[Component] = []
    before = preview.rows[0].line - 1
    for row in preview.rows:
        if row.line > before + 1:
            body.append(html.Tr(html.Td("⋯", colSpan=len(preview.headings) + 1), className="gap"))
        body += _row(row, preview.headings)
        before = row.line
    return html.Table([html.Thead(head), html.Tbody(body)])


def _heading(heading: Heading) -> Component:
    means = in_words(heading.column) if heading.column else "not recognised"
    return html.Th(
        [heading.written or " ", html.Small(means)],
        scope="col",
        className="" if heading.column else "unknown",
    )


def _row(row: Row, headings: Sequence[Heading]) -> list[Component]:
    worst = min((problem.severity for problem in row.problems), default="")  # 'error' sorts before 'warning'
    wrong = {problem.column: problem.severity for problem in row.problems}
    columns = [(heading.written, heading.column) for heading in headings]
    columns += [("", None)] * (len(row.cells) - len(columns))
    cells = [
        html.Td(cell, className=_cell(wrong.get(written) or wrong.get(column)))
        for cell, (written, column) in zip(row.cells, columns, strict=False)
    ]
    line = html.Tr([html.Th(str(row.line), scope="row"), *cells], className=f"row-{worst}" if worst else "")
    told = [
        html.Tr(
            html.Td(html.P(_sentence(problem)), colSpan=len(columns) + 1),
            className=f"said severity-{problem.severity}",
        )
        for problem in row.problems
    ]
    return [line, *told]


def _cell(severity: str | None) -> str:
    return f"cell-{severity}" if severity else ""


def _sentence(problem: Problem) -> str:
    verdict = "Refused" if problem.severity == "error" else "Taken, but look"
    where = f", {problem.column}" if problem.column else ""
    return f"{verdict}{where}: {words.sentence(problem.message)}"
