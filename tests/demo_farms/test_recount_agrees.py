"""The main job against something outside it: a recount of the same files on the standard library alone."""

import csv
import io
import math
from pathlib import Path
from statistics import NormalDist

from click.testing import CliRunner

from dashboard.cli import main
from demo_farms import FILES
from tests.demo_farms.recount import recount

KEY = ("farm", "season", "scored_on", "stage", "group")
COUNTED = ("ewes", "thin", "on_target", "over")


def exported(home: Path, table: str) -> list[dict[str, str]]:
    found = CliRunner().invoke(main, ["export", table, "--format", "csv", "--home", str(home)])
    assert found.exit_code == 0, found.output
    return list(csv.DictReader(io.StringIO(found.output)))


def wilson(count: int, nobs: int, flock: int | None) -> tuple[float, float]:
    """The two shares p with (p − count/nobs)² = z² p (1 − p)/nobs × (N − n)/(N − 1): Wilson 1927, and
    Cochran 1977 for the last factor; the roots of that quadratic. A flock below `nobs` is wholly scored."""
    left = 1.0 if flock is None else (max(flock, nobs) - nobs) / max(flock - 1, nobs - 1, 1)
    z2, share = NormalDist().inv_cdf(0.95) ** 2 * left / nobs, count / nobs
    middle, half = 2 * share + z2, math.sqrt(max((2 * share + z2) ** 2 - 4 * (1 + z2) * share**2, 0))
    return (middle - half) / (2 + 2 * z2), (middle + half) / (2 + 2 * z2)


def test_every_interval_of_a_share_is_wilsons_with_the_registers_flock(demo_home: Path) -> None:
    flocks = {(row["farm"], row["season"]): int(row["ewes"]) for row in exported(demo_home, "farm_season")}
    rows = exported(demo_home, "session_summary")
    assert len(rows) > 500
    for row in rows:
        flock = flocks[row["farm"], row["season"]] if row["group"] == "ALL" else None
        for share, count in (("thin_share", "thin"), ("on_target", "on_target"), ("over", "over")):
            ends = float(row[f"{share}_low"]), float(row[f"{share}_high"])
            wanted = wilson(int(row[count]), int(row["ewes"]), flock)
            assert max(abs(a - b) for a, b in zip(ends, wanted, strict=True)) < 1e-7, (row, wanted)


def test_exported_session_summary_agrees_row_by_row_with_the_recount(demo_home: Path) -> None:
    rows = {tuple(row[part] for part in KEY): row for row in exported(demo_home, "session_summary")}
    recounted = {tuple(str(getattr(row, part)) for part in KEY): row for row in recount(FILES)}
    assert rows.keys() == recounted.keys()
    assert len(rows) > 500
    for key, count in recounted.items():
        row = rows[key]
        assert {part: int(row[part]) for part in COUNTED} == {
            part: getattr(count, part) for part in COUNTED
        }, key
        assert abs(float(row["mean_score"]) - count.mean_score) < 5e-5, key
