"""How well scorers agree on ewes that two of them scored on one day, pair by pair."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from pipelines.statistics.agreement import (
    Kappa,
    LimitsOfAgreement,
    Weights,
    crossed,
    limits_of_agreement,
    weighted_kappa,
)

NAMELESS = "a scorer without a name"


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two scorers (one of them twice, where the names are the same) over all ewes both have scored.

    `table`: `first`, `second` (scores) and `ewes`. Kappa is None where `why_not` says so, the limits where
    there is one ewe only.
    """

    first: str
    second: str
    ewes: int
    farms: tuple[str, ...]
    linear: Kappa | None
    quadratic: Kappa | None
    why_not: str
    limits: LimitsOfAgreement | None
    table: pd.DataFrame


def agreements(pairs: pd.DataFrame) -> tuple[Agreement, ...]:
    """Agreement of every two scorers in `pairs` (rows of scorer_pair), most ewes first."""
    if pairs.empty:
        return ()
    named = pairs.assign(a=pairs["scorer_a"].fillna(NAMELESS), b=pairs["scorer_b"].fillna(NAMELESS))
    turned = named["a"] > named["b"]  # who scored first does not matter: the same two are one pair
    ordered = named.assign(
        first=named["a"].where(~turned, named["b"]),
        second=named["b"].where(~turned, named["a"]),
        first_score=named["score_a"].where(~turned, named["score_b"]),
        second_score=named["score_b"].where(~turned, named["score_a"]),
    )
    found = [_agreement(str(a), str(b), rows) for (a, b), rows in ordered.groupby(["first", "second"])]
    return tuple(sorted(found, key=lambda one: (-one.ewes, one.first, one.second)))


def _agreement(first: str, second: str, rows: pd.DataFrame) -> Agreement:
    one, two = (rows[name].to_numpy(float) for name in ("first_score", "second_score"))
    step = _step(np.concatenate([one, two]))
    linear, why_not = _kappa(one, two, "linear", step)
    quadratic, _ = _kappa(one, two, "quadratic", step)
    return Agreement(
        first=first,
        second=second,
        ewes=len(rows),
        farms=tuple(sorted(rows["farm"].unique())),
        linear=linear,
        quadratic=quadratic,
        why_not=why_not,
        limits=limits_of_agreement(one, two) if len(rows) > 1 else None,
        table=_table(one, two, step),
    )


def _step(scores: np.ndarray) -> float:
    return next((step for step in (1.0, 0.5) if np.allclose(scores % step, 0)), 0.25)


def _kappa(one: np.ndarray, two: np.ndarray, weights: Weights, step: float) -> tuple[Kappa | None, str]:
    try:
        return weighted_kappa(one, two, weights, step=step), ""
    except ValueError as error:
        return None, str(error)


def _table(one: np.ndarray, two: np.ndarray, step: float) -> pd.DataFrame:
    counts, lowest = crossed(one, two, step), min(one.min(), two.min())
    rows, columns = np.nonzero(counts)
    return pd.DataFrame(
        {
            "first": lowest + rows * step,
            "second": lowest + columns * step,
            "ewes": counts[rows, columns].astype(int),
        }
    )
