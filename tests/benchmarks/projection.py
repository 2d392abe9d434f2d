"""Projecting 10,000 group-sessions against one grouped scan of their score rows in DuckDB.

The scan is the floor: whatever projects must at least have counted the ewes at each score. Run as
`python tests/benchmarks/projection.py`; prints the ratio of the medians of several runs and peak memory.
"""

import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import duckdb
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from pipelines.readiness.gain import published
from pipelines.readiness.holding import GoingOn
from pipelines.readiness.projection import Cells, Groups, project

GROUPS, EWES, RUNS = 10_000, 300, 7
SCAN = "select farm, scored_on, grp, score, count(*) as ewes from score_row group by all"


def score_rows(connection: duckdb.DuckDBPyConnection) -> None:
    rng = np.random.default_rng(1)
    session = np.repeat(np.arange(GROUPS), EWES)
    score = np.clip(np.round(rng.normal(2.7, 0.55, GROUPS * EWES) * 2) / 2, 1, 5)
    connection.execute(
        """create table score_row as
        select 'F' || lpad((s // 20)::varchar, 4, '0') as farm, date '2026-08-01' + (s % 5)::int as scored_on,
               'mob ' || (s // 5 % 4) as grp, score
        from (select unnest($session) as s, unnest($score) as score)""",
        {"session": session, "score": score},
    )


def prepared(connection: duckdb.DuckDBPyConnection) -> tuple[Cells, Groups]:
    """The scan's own answer, in order, as score cells; each session has its band and a grazing class."""
    counted = connection.execute(f"{SCAN} order by all").fetchnumpy()
    keys = [np.unique(counted[name], return_inverse=True)[1] for name in ("farm", "scored_on", "grp")]
    group = np.cumsum(np.any([np.diff(key, prepend=-1) != 0 for key in keys], axis=0)) - 1
    size = int(group[-1]) + 1
    usual = {"days": 60.0, "low": 2.75, "high": 3.5, "step": 0.5, "flock": 340.0}
    rates = published(["best", "ordinary", "holding", "hard"] * (size // 4))
    half = GoingOn(np.full(size, 0.5), np.full(size, 0.35))  # as before anything is known: costs most
    cells = Cells(group, np.asarray(counted["score"]), np.asarray(counted["ewes"], dtype=float))
    return cells, Groups(
        rates=rates, going_on=half, **{name: np.full(size, value) for name, value in usual.items()}
    )


def milliseconds(work: Callable[[], object]) -> float:
    """Median time of several runs."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * median(times)


def main() -> None:
    connection = duckdb.connect()
    score_rows(connection)
    cells, groups = prepared(connection)
    scan = milliseconds(lambda: connection.execute(SCAN).fetchnumpy())
    projection = milliseconds(lambda: project(cells, groups))
    print(f"{len(groups.days):,} group-sessions of {EWES} ewes, {len(cells.score):,} score cells")
    print(f"grouped scan in DuckDB  {scan:7.1f} ms (median of {RUNS})")
    print(f"projection              {projection:7.1f} ms (median of {RUNS})")
    print(f"ratio                   {projection / scan:7.2f}    (target: under 2)")
    print(f"peak memory             {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:7.0f} MiB")


if __name__ == "__main__":
    main()
