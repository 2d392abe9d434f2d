"""Files: what came in, what was refused, and what to do about it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import filters, frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.picture import save_table
from dashboard.data import Files
from dashboard.views.flocks import records
from dashboard.views.state import FILE_STATUSES, FilesState

PATH = "/files"
PAGE_ROWS = 50
PROBLEMS_SHOWN = 20
OPEN_AT_ONCE = 8
STATUS_WORDS = {
    "imported": "imported whole",
    "imported_with_problems": "with problems",
    "refused": "refused",
    "duplicate": "already here",
    "superseded": "replaced",
    "withdrawn": "withdrawn",
}
LAYOUT_WORDS = {
    "individual": "Scores, ewe by ewe",
    "tally": "Scores, counted",
    "wide": "Scores, counted in columns",
    "register": "Farm register",
}
ATTENTION = {"refused": 0, "imported_with_problems": 1}


def page(state: FilesState, data: Files) -> list[Component]:
    """The whole page for `state`."""
    if data.files.empty:
        return [
            html.H1("Files"),
            notice.empty(
                "No file has been imported yet.", "Bring in the farm register and the score files with:"
            ),
            html.Pre("tupping import FOLDER"),
        ]
    return [
        html.H1("Files"),
        _headline(state, data.files),
        _filters(state),
        *_list(state, data),
        frame.as_of(words.day(data.as_of)),
    ]


def shown(state: FilesState, files: pd.DataFrame, with_problems: Collection[str]) -> pd.DataFrame:
    """The files that pass the filters, those needing attention first, then the latest."""
    keep = pd.Series(True, index=files.index)
    if state.status:
        keep &= files["status"] == state.status
    if state.find:
        keep &= files["file"].str.contains(state.find, case=False, regex=False)
    warned = files["file"].isin(with_problems).map({True: 2, False: 3})
    ranked = files[keep].assign(attention=files["status"].map(ATTENTION).fillna(warned))
    return ranked.sort_values(
        ["attention", "imported_at", "file"], ascending=[True, False, True], kind="stable"
    ).drop(columns="attention")


def place(file: str, problem: Mapping[str, Any]) -> str:
    """`file:line:column`, as far as each is known."""
    parts = [file]
    if not words.missing(problem["line"]):
        parts.append(str(int(problem["line"])))
    if not words.missing(problem["column"]):
        parts.append(str(problem["column"]))
    return ":".join(parts)


def _headline(state: FilesState, files: pd.DataFrame) -> Component:
    counts = files["status"].value_counts()
    ways = [
        html.Li(
            dcc.Link(
                [html.Strong(f"{counts[status]:,}"), f" {STATUS_WORDS[status]}"],
                href=PATH + state.search(status=status, page=1),
                className="count",
            ),
            className=f"file-{status.replace('_', '-')}",
            **(attributes(aria_current="true") if state.status == status else {}),
        )
        for status in FILE_STATUSES
        if counts.get(status, 0)
    ]
    taken = words.count(files["rows_accepted"].sum(), "row")
    rows = f"{taken} taken, {files['rows_refused'].sum():,.0f} refused."
    return html.Div(
        [html.P(f"{words.count(len(files), 'file')}, {rows}", className="lead"), html.Ul(ways)],
        className="headline",
    )


def _filters(state: FilesState) -> Component:
    statuses = [(status, STATUS_WORDS[status].capitalize()) for status in FILE_STATUSES]
    fields = [
        filters.choice("status", "Show", statuses, state.status, "All files"),
        filters.find("Find a file", state.find),
    ]
    return filters.form(PATH, fields, clear=state != FilesState())


def _list(state: FilesState, data: Files) -> list[Component]:
    rows = shown(state, data.files, set(data.problems["file"]))
    if rows.empty:
        return [notice.empty("No file fits these filters.", "Take one away, or", PATH, "see all files.")]
    first = (state.page - 1) * PAGE_ROWS
    part = rows.iloc[first : first + PAGE_ROWS]
    problems = {str(file): group for file, group in data.problems.groupby("file", sort=False)}
    searches = [state.search(page=number) for number in range(1, -(-len(rows) // PAGE_ROWS) + 1)]
    ways = filters.pages(PATH, searches, state.page)
    return [
        html.Ol(
            [_file(row, problems.get(row["file"])) for row in records(part)],
            id=ids.FILE_LIST,
            className="files",
        ),
        *([ways] if ways else []),
        html.P(
            [
                save_table(links.table("files", state.search())),
                html.A("Save all problems (CSV)", href="/save/problems.csv", download="", className="quiet"),
            ],
            className="keep",
        ),
    ]


def _file(row: Mapping[str, Any], problems: pd.DataFrame | None) -> Component:
    status = str(row["status"])
    return html.Li(
        [
            html.Div(
                [
                    html.H2(row["file"]),
                    html.P(STATUS_WORDS.get(status, status).capitalize(), className="status"),
                    html.P(_about(row), className="about"),
                ],
                className="file-head",
            ),
            *([] if problems is None else [_problems(str(row["file"]), problems)]),
        ],
        className=f"file file-{status.replace('_', '-')}",
    )


def _about(row: Mapping[str, Any]) -> str:
    parts = [LAYOUT_WORDS.get(words.text(row["layout"]), "Not recognised")]
    parts.append(f"{int(row['rows_accepted']):,} of {words.count(row['rows_read'], 'row')} taken")
    if not words.missing(row["superseded_by"]):
        parts.append(f"replaced by {row['superseded_by']}")
    return " · ".join([*parts, words.day(row["imported_at"])])


def _problems(file: str, problems: pd.DataFrame) -> Component:
    items = [_problem(file, problem) for problem in records(problems.head(PROBLEMS_SHOWN))]
    more = len(problems) - PROBLEMS_SHOWN
    rest = [html.P(f"and {more:,} more: save all problems below to see them.")] if more > 0 else []
    errors = int((problems["severity"] == "error").sum())
    warnings = len(problems) - errors
    counted = [
        f"{errors:,} refused" if errors else "",
        f"{warnings:,} to check (taken as written)" if warnings else "",
    ]
    return html.Details(
        [html.Summary(words.listed([text for text in counted if text])), html.Ul(items), *rest],
        open=0 < errors <= OPEN_AT_ONCE,
        className="problems",
    )


def _problem(file: str, problem: Mapping[str, Any]) -> Component:
    value = words.text(problem["value"], "")
    return html.Li(
        [
            html.Code(place(file, problem)),
            html.Span([" ", html.Q(value)]) if value else None,
            html.P(words.sentence(words.text(problem["message"]))),
        ],
        className=f"severity-{problem['severity']}",
    )
