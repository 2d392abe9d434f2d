"""The import report in plain words, the same as an object for machines, and the progress bar."""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import asdict
from typing import Any

import click

from pipelines.warehouse.report import ImportReport, Outcome, Trouble

# A file with a thousand bad rows has one cause: a dozen lines show it, --json and the Files page show all.
_LINES_PER_FILE = 12
# Beyond this, a line for each file in order would hide those that are not.
_PLAIN_FILES_NAMED = 12

_IN_WORDS = {
    "imported": "imported",
    "imported_with_problems": "imported, with problems",
    "refused": "refused",
    "duplicate": "a copy, counted once",
    "superseded": "replaced by a corrected file, not counted",
    "withdrawn": "withdrawn, not counted",
    "unreadable": "could not be read",
    "changed": "changed while being read",
}


def import_lines(report: ImportReport) -> Iterator[str]:
    """The report, a line at a time: files, what is wrong and where, what was left alone, the sum."""
    troubles: dict[str, list[Trouble]] = defaultdict(list)
    for trouble in report.problems:
        troubles[trouble.file].append(trouble)
    plain = [o for o in report.files if o.status == "imported" and not o.note and o.file not in troubles]
    if len(plain) > _PLAIN_FILES_NAMED:
        yield f"{len(plain)} files without any problem, from {plain[0].file} to {plain[-1].file}"
    else:
        plain = []
    for outcome in report.files:
        if outcome not in plain:
            yield _file_line(outcome)
            yield from _trouble_lines(troubles.get(outcome.file, []))
    for path in report.left_alone:
        yield f"{path}: left alone, not a CSV file. If it holds scores, save it as CSV and import that"
    if report.difference:
        yield from _difference_lines(report)
    yield _sum_line(report)


def _file_line(outcome: Outcome) -> str:
    words = _IN_WORDS.get(outcome.status, outcome.status)
    if outcome.standing == "unchanged":
        words = f"known already, nothing changed ({words})"
    counts = f": {outcome.rows_accepted} of {outcome.rows_read} rows accepted" if outcome.rows_read else ""
    refused = f", {outcome.rows_refused} refused" if outcome.rows_refused else ""
    note = f" – {outcome.note}" if outcome.note else ""
    return f"{outcome.file}: {words}{counts}{refused}{note}"


def _trouble_lines(troubles: list[Trouble]) -> Iterator[str]:
    worst_first = sorted(troubles, key=lambda trouble: trouble.severity != "error")
    for trouble in worst_first[:_LINES_PER_FILE]:
        shown = trouble.value and f"'{trouble.value}'" not in trouble.message
        value = f" '{trouble.value}'" if shown else ""
        yield f"    {trouble.place()}: {trouble.severity}:{value} {trouble.message}"
    if len(troubles) > _LINES_PER_FILE:
        more = len(troubles) - _LINES_PER_FILE
        yield f"    … and {more} more; all of them: tupping export import_problem"


def _difference_lines(report: ImportReport) -> Iterator[str]:
    assert report.difference is not None
    yield f"Compared with the file it replaces: {report.difference.sentence()}."
    for change in report.difference.changed[:_LINES_PER_FILE]:
        what = ", ".join(f"{name} {old} → {new}" for name, (old, new) in change.values.items())
        yield f"    line {change.row['line']}: {what}"


def _sum_line(report: ImportReport) -> str:
    counted = Counter(
        "known already" if outcome.standing == "unchanged" else _IN_WORDS.get(outcome.status, outcome.status)
        for outcome in report.files
    )
    files = "; ".join(f"{many} {words}" for words, many in sorted(counted.items()))
    accepted = sum(outcome.rows_accepted for outcome in report.files if outcome.standing != "unchanged")
    refused = sum(outcome.rows_refused for outcome in report.files)
    number = "1 file" if len(report.files) == 1 else f"{len(report.files)} files"
    return f"{number} ({files}). {accepted} rows imported, {refused} refused."


def import_object(report: ImportReport) -> dict[str, Any]:
    """The report for machines: every file, every problem."""
    return {
        "files": [asdict(outcome) for outcome in report.files],
        "problems": [asdict(trouble) for trouble in report.problems],
        "left_alone": [str(path) for path in report.left_alone],
        "generation": report.generation,
        "difference": asdict(report.difference) if report.difference else None,
        "something_refused": report.something_refused(),
    }


@contextmanager
def progress_bar() -> Iterator[Callable[[int], Callable[[int], None]]]:
    """A bar on the error stream, and only when that is a terminal."""
    with ExitStack() as stack:

        def start(total: int) -> Callable[[int], None]:
            bar = click.progressbar(
                length=total, label="Reading", file=sys.stderr, hidden=not sys.stderr.isatty()
            )
            return stack.enter_context(bar).update

        yield start
