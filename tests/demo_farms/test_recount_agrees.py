"""The main job against something outside it: a recount of the same files on the standard library alone."""

import csv
import io
from pathlib import Path

from click.testing import CliRunner

from dashboard.cli import main
from demo_farms import FILES
from tests.demo_farms.recount import recount

KEY = ("farm", "season", "scored_on", "stage", "group")
COUNTED = ("ewes", "thin", "on_target", "over")


def test_exported_session_summary_agrees_row_by_row_with_the_recount(demo_home: Path) -> None:
    exported = CliRunner().invoke(
        main, ["export", "session_summary", "--format", "csv", "--home", str(demo_home)]
    )
    assert exported.exit_code == 0, exported.output
    rows = {tuple(row[part] for part in KEY): row for row in csv.DictReader(io.StringIO(exported.output))}
    recounted = {tuple(str(getattr(row, part)) for part in KEY): row for row in recount(FILES)}
    assert rows.keys() == recounted.keys()
    assert len(rows) > 500
    for key, count in recounted.items():
        row = rows[key]
        assert {part: int(row[part]) for part in COUNTED} == {
            part: getattr(count, part) for part in COUNTED
        }, key
        assert abs(float(row["mean_score"]) - count.mean_score) < 5e-5, key
