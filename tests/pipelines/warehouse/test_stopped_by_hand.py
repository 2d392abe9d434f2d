"""Ctrl+C while the database works: the run ends as one that was stopped, without a traceback."""

from pathlib import Path

import pytest

from pipelines.warehouse.errors import plain_failures

# Seen of duckdb 2.0.1 when SIGINT reached a query of an import.
SAID_OF_CTRL_C = "Query interrupted"


def test_ctrl_c_during_a_query_stops_the_run(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt), plain_failures(tmp_path):
        raise RuntimeError(SAID_OF_CTRL_C)


def test_another_fault_of_the_program_is_not_taken_for_ctrl_c(tmp_path: Path) -> None:
    with pytest.raises(RuntimeError, match="something else"), plain_failures(tmp_path):
        raise RuntimeError("something else")
