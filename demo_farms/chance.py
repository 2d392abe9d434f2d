"""Draws that stay the same on every Python: only `random()` is promised not to change between versions."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from statistics import NormalDist
from typing import TypeVar

Item = TypeVar("Item")

_STANDARD = NormalDist()


def normal(rng: Random, mean: float = 0.0, sd: float = 1.0) -> float:
    """One normal draw, by inversion."""
    return mean + sd * _STANDARD.inv_cdf(max(rng.random(), 1e-12))


def between(rng: Random, first: int, last: int) -> int:
    """One whole number from `first` to `last`, both included."""
    return first + int(rng.random() * (last - first + 1))


def some(rng: Random, items: Sequence[Item], size: int) -> list[Item]:
    """`size` of the items (all when there are fewer), in their own order."""
    drawn = sorted(range(len(items)), key=lambda _: rng.random())[:size]
    return [items[i] for i in sorted(drawn)]
