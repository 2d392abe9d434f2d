from collections.abc import Callable

import numpy as np
import pytest

from pipelines.readiness.gain import Rates, published
from pipelines.readiness.projection import Cells, Groups


def one_group(scores: dict[float, int]) -> Cells:
    """Histogram of a single group, written as score: ewes."""
    ordered = sorted(scores)
    return Cells(
        np.zeros(len(scores), np.intp), np.array(ordered), np.array([float(scores[s]) for s in ordered])
    )


def groups(days: float, grazing: str = "best", rates: Rates | None = None, **changes: object) -> Groups:
    """A single lowland group in half scores; any field may be replaced by a number."""
    values: dict[str, object] = {"low": 3.0, "high": 4.0, "step": 0.5, "flock": np.nan, **changes}
    for name in ("low", "high", "step", "flock"):
        values[name] = np.array([values[name]], dtype=float)
    return Groups(days=np.array([float(days)]), rates=rates or published([grazing]), **values)


@pytest.fixture(scope="session")
def histogram() -> Callable[[dict[float, int]], Cells]:
    return one_group


@pytest.fixture(scope="session")
def group() -> Callable[..., Groups]:
    return groups
