"""What a release file must hold, so that one from anybody can be shown without trusting it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import pandas as pd

from pipelines.release.build import Release
from pipelines.settings import STAGES, SYSTEMS

COLUMNS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "letters": ("letter", "system", "flock_size"),
        "figures": (
            "letter", "seasons_ago", "stage", "weeks_from", "weeks_to", "ewes_at_least", "mean_score",
            "thin_share", "on_target_share", "over_share",
        ),
        "distribution": ("letter", "stage", "score_from", "score_to", "share"),
    }
)  # fmt: skip
"""Tables of a release and their columns."""

_WORDS = {
    "letter": re.compile(r"[A-Z]{1,3}"),
    "system": re.compile("|".join(SYSTEMS)),
    "stage": re.compile("|".join(STAGES)),
    "flock_size": re.compile(r"any size|under \d+ ewes|\d+ ewes and over|\d+ to \d+ ewes"),
}
_RANGES = {
    "seasons_ago": (0, 1),
    "weeks_from": (-40, 40), "weeks_to": (-40, 40), "ewes_at_least": (0, 1e6), "mean_score": (1, 5),
    "thin_share": (0, 1), "on_target_share": (0, 1), "over_share": (0, 1),
    "score_from": (0, 5), "score_to": (0.5, 6), "share": (0, 1),
}  # fmt: skip
_MOST_ROWS = 20_000


def check(release: Release) -> Release:
    """`release` itself. Raises `ValueError` saying what does not belong into one."""
    if not re.fullmatch(r"[0-9a-f]{16}", release.release) or not 1900 <= release.season <= 2200:
        raise ValueError("it has no release number or season")
    for table in COLUMNS:
        frame: pd.DataFrame = getattr(release, table)
        if frame.empty or len(frame) > _MOST_ROWS:
            raise ValueError(f"{table} has {len(frame)} rows")
        for column in COLUMNS[table]:
            if not _fits(frame[column], column):
                raise ValueError(f"{table}.{column} holds something else")
    if not set(release.figures["letter"]) | set(release.distribution["letter"]) <= set(
        release.letters["letter"]
    ):
        raise ValueError("a letter has figures but no class")
    return release


def _fits(values: pd.Series[Any], column: str) -> bool:
    if column in _WORDS:
        return all(isinstance(value, str) and _WORDS[column].fullmatch(value) for value in values)
    return bool(pd.to_numeric(values, errors="coerce").between(*_RANGES[column]).all())
