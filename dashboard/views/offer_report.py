"""What became of a file that was imported here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components import links, words

SHOWN = 40
STATUS = {
    "imported": "Imported whole",
    "imported_with_problems": "Imported, with problems",
    "refused": "Refused",
    "duplicate": "A copy; its rows count once",
    "withdrawn": "Withdrawn before; not counted",
    "superseded": "Replaced before; not counted",
    "unreadable": "Could not be read",
    "changed": "Changed while it was read; nothing was taken",
}


def page(name: str, report: Mapping[str, Any]) -> list[Component]:
    """Status, numbers, every problem with its place, and ways on."""
    status = str(report["status"])
    problems = report["problems"]
    replaced = report["difference"]
    return [
        html.H1(name, className="file-name"),
        html.Div(
            [
                html.P(_status(report), className="status"),
                html.P(_numbers(report), className="lead"),
                html.P(f"In the place of the file it corrects: {replaced}.") if replaced else None,
                html.P(words.sentence(report["note"])) if report["note"] else None,
            ],
            className=f"outcome file-{status.replace('_', '-')}",
        ),
        _ways(report),
        *([] if not problems else [html.Section([html.H2("To look at"), _problems(problems)])]),
    ]


def _status(report: Mapping[str, Any]) -> str:
    if report["standing"] == "unchanged":
        return "Known already; nothing changed"
    return STATUS.get(str(report["status"]), str(report["status"]))


def _numbers(report: Mapping[str, Any]) -> str:
    refused = int(report["rows_refused"])
    taken = f"{int(report['rows_accepted']):,} of {words.count(report['rows_read'], 'row')} taken"
    return f"{taken}{f', {refused:,} refused' if refused else ''}."


def _ways(report: Mapping[str, Any]) -> Component:
    farms = [html.Li(html.A(f"See {farm}", href=links.farm(farm))) for farm in report["farms"][:6]]
    return html.Ul(
        [
            *farms,
            html.Li(html.A("Bring another file", href="/files")),
            html.Li(html.A("All flocks", href="/")),
        ],
        className="ways",
    )


def _problems(problems: list[Mapping[str, Any]]) -> Component:
    worst = sorted(problems, key=lambda problem: problem["severity"] != "error")
    items = [_problem(problem) for problem in worst[:SHOWN]]
    more = len(problems) - SHOWN
    rest = [html.P(f"and {more:,} more: the Files page keeps them all.")] if more > 0 else []
    return html.Div([html.Ul(items), *rest], className="problems")


def _problem(problem: Mapping[str, Any]) -> Component:
    line = f"line {int(problem['line'])}" if problem["line"] else ""
    place = ", ".join(part for part in (line, problem["column"] or "") if part)
    value = problem["value"]
    return html.Li(
        [
            html.Code(place or "whole file"),
            html.Span([" ", html.Q(value)]) if value else None,
            html.P(words.sentence(problem["message"])),
        ],
        className=f"severity-{problem['severity']}",
    )
