"""What was imported, and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from pipelines.queries.reader import Reader

FILES = "select * from import_file order by imported_at desc, file, sha256, given"
PROBLEMS = """
    select * from import_problem
    where cast($file as varchar) is null or file = $file
    order by file, line nulls first, "column" nulls first, code
"""
CHOSEN = """
    from import_file
    where (cast($status as varchar) is null or status = $status)
        and (cast($find as varchar) is null or contains(lower(file), lower($find)))
"""
# what was refused first, then what was partly refused, then what is to be looked at, then the rest
SORTED = """
    order by
        case
            when status = 'refused' then 0
            when status = 'imported_with_problems' then 1
            when (file, sha256, given) in (select (file, sha256, given) from import_problem) then 2
            else 3
        end,
        imported_at desc, file, sha256, given
"""
FILE_LIST = "select *" + CHOSEN + SORTED
FILE_PAGE = FILE_LIST + " limit $rows offset $after"
FILE_COUNT = "select count(*)" + CHOSEN
FIGURES = """
    select status, count(*), sum(rows_accepted), sum(rows_refused - rows_waiting), sum(rows_waiting)
    from import_file group by status
"""
FIRST_PROBLEMS = """
    select * exclude (place) from (
        select
            *,
            row_number() over (
                partition by file, sha256, given order by line nulls first, "column" nulls first, code
            ) as place,
            count(*) over (partition by file, sha256, given) as problems,
            count(*) filter (where severity = 'error') over (partition by file, sha256, given) as errors,
            count(*) filter (where code in ('unknown_farm', 'register_refused', 'no_season', 'no_stage'))
                over (partition by file, sha256, given) as waits
        from import_problem
        where file in (select unnest($files::varchar[]))
    ) as placed
    where place <= $rows
    order by file, sha256, given, place
"""


@dataclass(frozen=True, slots=True)
class FileFigures:
    """All files ever offered: their number by status, and the rows taken, refused and waiting."""

    statuses: Mapping[str, int]
    taken: int
    refused: int
    waiting: int = 0


def files(reader: Reader) -> pd.DataFrame:
    """Rows of `import_file`, latest first."""
    return reader.frame(FILES)


def file_list(reader: Reader, status: str | None = None, find: str | None = None) -> pd.DataFrame:
    """Rows of `import_file` with this status and `find` in their name, those needing attention first."""
    return reader.frame(FILE_LIST, {"status": status, "find": find})


def file_page(reader: Reader, status: str | None, find: str | None, rows: int, after: int) -> pd.DataFrame:
    """At most `rows` of `file_list`, leaving out the first `after`."""
    return reader.frame(FILE_PAGE, {"status": status, "find": find, "rows": rows, "after": after})


def file_count(reader: Reader, status: str | None, find: str | None) -> int:
    """How many files `file_list` holds."""
    ((found,),) = reader.rows(FILE_COUNT, {"status": status, "find": find})
    return int(found)


def file_figures(reader: Reader) -> FileFigures:
    """All files in figures."""
    rows = reader.rows(FIGURES)
    taken, refused, waiting = (int(sum(row[place] for row in rows)) for place in (2, 3, 4))
    return FileFigures({row[0]: row[1] for row in rows}, taken, refused, waiting)


def problems(reader: Reader, file: str | None = None) -> pd.DataFrame:
    """Rows of `import_problem` of one file, or of all."""
    return reader.frame(PROBLEMS, {"file": file})


def first_problems(reader: Reader, files: Sequence[str], rows: int) -> pd.DataFrame:
    """At most `rows` of `import_problem` of each file, with the file's number of `problems`, of `errors` and,
    among those, of `waits`: why rows wait."""
    return reader.frame(FIRST_PROBLEMS, {"files": list(files), "rows": rows})
