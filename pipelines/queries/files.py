"""What was imported, and what was wrong with it."""

from __future__ import annotations

import pandas as pd

from pipelines.queries.reader import Reader

FILES = "select * from import_file order by imported_at desc, file, sha256"
PROBLEMS = """
    select * from import_problem
    where cast($file as varchar) is null or file = $file
    order by file, line nulls first, "column" nulls first, code
"""


def files(reader: Reader) -> pd.DataFrame:
    """Rows of `import_file`, latest first."""
    return reader.frame(FILES)


def problems(reader: Reader, file: str | None = None) -> pd.DataFrame:
    """Rows of `import_problem` of one file, or of all."""
    return reader.frame(PROBLEMS, {"file": file})
