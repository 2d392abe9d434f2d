"""How many ewes would have to move for a farm to stand in the practice's best quarter."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Ints: TypeAlias = NDArray[np.int64]

_ROUNDING = 1e-9  # a quarter of 0.1 × 180 ewes is 18 ewes, whatever the binary fraction


def best_quarter(thin_shares: ArrayLike) -> float:
    """Share of thin ewes that a quarter of the farms do not exceed (linear interpolation between farms)."""
    return float(np.quantile(np.asarray(thin_shares, dtype=np.float64), 0.25))


def ewes_to_move(thin: ArrayLike, ewes: ArrayLike, share: float) -> Ints:
    """Fewest thin ewes (per farm) that must reach `low` so that at most `share` of `ewes` are thin."""
    over = np.asarray(thin, dtype=np.float64) - share * np.asarray(ewes, dtype=np.float64)
    return np.ceil(np.maximum(over - _ROUNDING, 0)).astype(np.int64)
