"""Reports of past projections, by hand."""

import pandas as pd
import pytest

from pipelines.queries.backtest import lines, reports

ROW = {"low": 0.3, "high": 0.7, "crps": 0.1, "place": 0.55, "held": 0.5, "method": "this working"}


def test_a_report_is_the_mean_of_its_rows():
    rows = pd.DataFrame(
        [
            ROW | {"expected": 0.5, "observed": 0.6},
            ROW | {"expected": 0.5, "observed": 0.2, "held": 1.0, "place": 0.01, "crps": 0.2},
        ]
    )
    (found,) = reports(rows).values()
    # errors 0.1 and 0.3; expected less recorded −0.1 and 0.3
    assert (found.predictions, found.mean_absolute_error, found.bias) == (
        2,
        pytest.approx(0.2),
        pytest.approx(0.1),
    )
    assert found.covered == (0.5, 0.5, 0.5) and found.crps == pytest.approx(0.15)
    assert found.calibration == (1, 0, 0, 0, 0, 1, 0, 0, 0, 0)


def test_with_nothing_to_compare_there_is_no_report_and_the_command_says_so():
    none = pd.DataFrame([ROW]).head(0)
    assert reports(none) == {}
    assert "scored twice in a season" in next(iter(lines({})))
