"""Files: what came in, what was refused, and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import dropping, filters, frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded
from dashboard.components.picture import save_table
from dashboard.data import PAGE_ROWS, Files
from dashboard.views.flocks import records
from dashboard.views.offer_words import given_in_words
from dashboard.views.state import FILE_STATUSES, FilesState
from pipelines.queries import FileFigures
from pipelines.warehouse.offers import record_name

PATH = "/files"
OPEN_AT_ONCE = 8
FEW = 8  # files that a phone shows whole
STATUS_WORDS = {
    "imported": "imported whole",
    "imported_with_problems": "with problems",
    "refused": "refused",
    "duplicate": "already here",
    "superseded": "replaced",
    "withdrawn": "withdrawn",
}
CORRECT = {"withdrawn": "Bring back", "superseded": "Bring back"}
LAYOUT_WORDS = {
    "individual": "Scores, ewe by ewe",
    "tally": "Scores, counted",
    "wide": "Scores, counted in columns",
    "register": "Farm register",
}


@dataclass(frozen=True, slots=True)
class Abilities:
    """What the visitor may do with files: `bring` them in, `correct` or withdraw those that are there."""

    bring: bool = False
    correct: bool = False


NONE = Abilities()


def page(state: FilesState, data: Files | None, may: Abilities = NONE) -> list[Component]:
    """The whole page for `state`, with what the visitor may do."""
    drop = [dropping.place("Drop a score file or a farm register here")] if may.bring else []
    if data is None:
        return [
            html.H1("Files"),
            *drop,
            notice.first_steps("No file has been imported yet."),
        ]
    return [
        html.H1("Files"),
        _headline(state, data.figures),
        *drop,
        _filters(state),
        *_list(state, data, may),
        frame.as_of(words.day(data.as_of)),
    ]


def place(file: str, problem: Mapping[str, Any]) -> str:
    """`file:line:column`, as far as each is known."""
    parts = [file]
    if not words.missing(problem["line"]):
        parts.append(str(int(problem["line"])))
    if not words.missing(problem["column"]):
        parts.append(str(problem["column"]))
    return ":".join(parts)


def _headline(state: FilesState, figures: FileFigures) -> Component:
    counts = figures.statuses
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
    waiting = f", {figures.waiting:,} waiting" if figures.waiting else ""
    rows = f"{words.count(figures.taken, 'row')} taken, {figures.refused:,} refused{waiting}."
    return html.Div(
        [html.P(f"{words.count(sum(counts.values()), 'file')}, {rows}", className="lead"), html.Ul(ways)],
        className="headline",
    )


def _filters(state: FilesState) -> Component:
    statuses = [(status, STATUS_WORDS[status].capitalize()) for status in FILE_STATUSES]
    fields = [
        filters.choice("status", "Show", statuses, state.status, "All files"),
        filters.find("Find a file", state.find),
    ]
    return filters.form(PATH, fields, clear=state != FilesState())


def _list(state: FilesState, data: Files, may: Abilities) -> list[Component]:
    if data.files.empty:
        return [notice.empty("No file fits these filters.", "Take one away, or", PATH, "see all files.")]
    problems: dict[tuple[str, ...], list[Mapping[str, Any]]] = {}
    for problem in records(data.problems):
        problems.setdefault(_record(problem), []).append(problem)
    rows = records(data.files)
    whole = state != FilesState() or len(rows) <= FEW
    near = rows if whole else [row for row in rows if _record(row) in problems]
    rest = [] if whole else [row for row in rows if _record(row) not in problems]
    ways = filters.pages(PATH, state, data.found, PAGE_ROWS)
    return [
        html.Ol(
            [_file(row, problems.get(_record(row)), may) for row in near],
            id=ids.FILE_LIST,
            className="files",
        ),
        *([_nothing_to_do(rest, may)] if rest else []),
        *([ways] if ways else []),
        html.P(
            [
                save_table(links.table("files", state.search())),
                html.A("Save all problems (CSV)", href="/save/problems.csv", download="", className="quiet"),
            ],
            className="keep",
        ),
    ]


def _nothing_to_do(rows: Sequence[Mapping[str, Any]], may: Abilities) -> Component:
    """Files with no problem; nobody looks for those on a phone unless by name."""
    said = f"{words.count(len(rows), 'file')} with nothing to check"
    files = html.Ol([_file(row, None, may) for row in rows], className="files")
    return folded(html.Span(html.Strong(said)), [files], handle_at_desk=False)


def _record(row: Mapping[str, Any]) -> tuple[str, ...]:
    """What tells records of files apart: the same bytes may have been given with several days."""
    return row["file"], row["sha256"], row["given"]


def _file(row: Mapping[str, Any], problems: Sequence[Mapping[str, Any]] | None, may: Abilities) -> Component:
    status = str(row["status"])
    correct = may.correct and status != "duplicate"
    return html.Li(
        [
            html.Div(
                [
                    html.H2(row["file"]),
                    html.P(STATUS_WORDS.get(status, status).capitalize(), className="status"),
                    html.P(_about(row), className="about"),
                    dcc.Link(
                        CORRECT.get(status, "Correct or withdraw"),
                        href=f"/change/{record_name(row['sha256'], str(row['given']))}",
                        className="correct",
                        **attributes(title=f"{CORRECT.get(status, 'Correct or withdraw')}: {row['file']}"),
                    )
                    if correct
                    else None,
                ],
                className="file-head",
            ),
            *([] if problems is None else [_problems(row, problems)]),
        ],
        className=f"file file-{status.replace('_', '-')}",
    )


def _about(row: Mapping[str, Any]) -> str:
    parts = [LAYOUT_WORDS.get(words.text(row["layout"]), "Not recognised")]
    parts.append(f"{int(row['rows_accepted']):,} of {words.count(row['rows_read'], 'row')} taken")
    if row["rows_waiting"]:
        parts.append(_waiting(row))
    if given := given_in_words(str(row["given"])):
        parts.append(f"given with it: {given}")
    if not words.missing(row["superseded_by"]):
        parts.append(f"replaced by {row['superseded_by']}")
    return words.unbroken(" · ".join([*parts, words.day(row["imported_at"])]))


def _waiting(row: Mapping[str, Any]) -> str:
    waiting = int(row["rows_waiting"])
    return f"{words.count(waiting, 'row')} {'waits' if waiting == 1 else 'wait'}"


def _problems(row: Mapping[str, Any], problems: Sequence[Mapping[str, Any]]) -> Component:
    file = str(row["file"])
    found, errors = (int(problems[0][column]) for column in ("problems", "errors"))
    more = found - len(problems)
    rest = [html.P(f"and {more:,} more: save all problems below to see them.")] if more > 0 else []
    return html.Details(
        [
            html.Summary(_counted(row, problems[0])),
            html.Ul([_problem(file, problem) for problem in problems]),
            *rest,
        ],
        open=0 < errors <= OPEN_AT_ONCE,
        className="problems",
    )


def _counted(row: Mapping[str, Any], problem: Mapping[str, Any]) -> str:
    """`4 rows refused, 30 rows wait and 1 to check`; a file refused whole counts why."""
    found, errors, waits = (int(problem[column]) for column in ("problems", "errors", "waits"))
    refused, waiting = int(row["rows_refused"] - row["rows_waiting"]), int(row["rows_waiting"])
    parts = [
        f"{words.count(refused, 'row')} refused" if refused else "",
        _waiting(row) if waiting else "",
        f"{words.count(errors - waits, 'error')}" if errors > waits and not refused else "",
        f"{found - errors:,} to check (taken as written)" if found > errors else "",
    ]
    return words.listed([part for part in parts if part])


def _problem(file: str, problem: Mapping[str, Any]) -> Component:
    value, message = words.text(problem["value"], ""), words.text(problem["message"])
    return html.Li(
        [
            html.Code(place(file, problem)),
            html.Span([" ", html.Q(value)]) if value and value not in message else None,
            html.P(words.sentence(message)),
        ],
        className=f"severity-{problem['severity']}",
    )
