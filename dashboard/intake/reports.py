"""What became of an imported file, as the visitor may see it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from pipelines import queries
from pipelines.queries import Reader
from pipelines.warehouse.looking import Look
from pipelines.warehouse.report import ImportReport

Report = dict[str, Any]


def report(reader: Reader, done: ImportReport, seen: Look) -> Report:
    """The report of one file.

    Problems are the published ones that the visitor may see, so that nothing of another farm is told; of a
    file that was refused whole, what reading it found.
    """
    (outcome,) = done.files
    published = queries.problems(reader, outcome.file)
    mine = published[published["sha256"] == seen.sha256].drop(columns=["file", "sha256"])
    problems = [
        {str(name): None if value != value else value for name, value in row.items()}
        for row in mine.to_dict("records")
    ]
    if not problems:
        problems = [asdict(problem) for problem in seen.preview.parsed.problems]
    changes = done.difference
    return {
        **asdict(outcome),
        "problems": problems,
        "farms": sorted(seen.farms),
        "difference": changes.sentence() if changes else "",
    }


def in_a_line(told: Report) -> str:
    """The report in one sentence, for a phone."""
    if told["standing"] == "unchanged":
        return "The practice has this session already; nothing changed."
    refused = f", {told['rows_refused']} refused" if told["rows_refused"] else ""
    first = next((p["message"] for p in told["problems"] if p["severity"] == "error"), "")
    return f"Taken: {told['rows_accepted']} of {told['rows_read']} rows{refused}. {first}".strip()
