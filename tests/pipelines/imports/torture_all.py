"""Every case of every family. `python -m tests.pipelines.imports.torture_all` prints families × outcomes."""

from __future__ import annotations

from collections.abc import Iterator

from tests.pipelines.imports import torture_cells, torture_files, torture_rows
from tests.pipelines.imports.torture import Case, cleans, table

FAMILIES = (*torture_rows.FAMILIES, *torture_files.FAMILIES, *torture_cells.FAMILIES)


def all_cases() -> Iterator[Case]:
    """Each family applied to each clean file."""
    for family in FAMILIES:
        for clean in cleans():
            yield from family(clean)


if __name__ == "__main__":
    print(table(all_cases()))
