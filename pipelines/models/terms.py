"""The adviser's choices as small tables that the SQL can join."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

import pyarrow as pa

from pipelines import reference
from pipelines.settings import Band, Settings

_DAYS = ("median", "low", "high")
_BAND = (("low", pa.float64()), ("target", pa.float64()), ("high", pa.float64()))


def terms(settings: Settings) -> pa.Table:
    """One row: today, the limit of thin ewes (share), the days of flushing where a farm names none, and what
    projections rest on: days per score, the scorer's error and the fastest loss (null: the reference's), and
    whether ewes that are right are held (null: learned)."""
    gain = {**reference.days_per_score(), **settings.gain}
    days = {f"{grazing}_{part}": getattr(row, part) for grazing, row in gain.items() for part in _DAYS}
    figures = {
        "thin_limit": settings.thin_limit,
        **days,
        "scorer_sd": settings.scorer_sd,
        "days_per_score_lost": settings.days_per_score_lost,
    }
    return pa.table(
        {
            "as_of": pa.array([settings.today()], pa.date32()),
            "flush_days": pa.array([settings.flush_days], pa.int32()),
            **{name: pa.array([value], pa.float64()) for name, value in figures.items()},
            "hold_when_right": pa.array([settings.hold_when_right], pa.bool_()),
        }
    )


def bands(settings: Settings) -> pa.Table:
    """One row per system and stage: the practice's own band where it has set one, else the reference's."""
    chosen = {**reference.bands(), **settings.bands}
    return _keyed(("system", "stage"), chosen.items())


def farm_bands(settings: Settings) -> pa.Table:
    """One row per farm and stage for which the practice has set a band of its own."""
    return _keyed(("farm", "stage"), settings.farm_bands.items())


def farm_grazing(settings: Settings) -> pa.Table:
    """One row per farm and group whose grazing class the adviser has set."""
    rows = sorted(settings.farm_grazing.items())
    return _rows(
        (("farm", pa.string()), ("group", pa.string()), ("grazing", pa.string())),
        ((farm, group, grazing) for (farm, group), grazing in rows),
    )


def fingerprint(settings: Settings) -> str:
    """What all published tables depend on besides the rows; a build of some farms needs it unchanged.

    The program itself is part of it: tables of another version are not to be built upon.
    """
    chosen = (
        settings.today(),
        settings.thin_limit,
        settings.flush_days,
        settings.scorer_sd,
        settings.days_per_score_lost,
        settings.hold_when_right,
        *map(sorted, (settings.gain.items(), settings.bands.items())),
        *map(sorted, (settings.farm_bands.items(), settings.farm_grazing.items())),
    )
    return hashlib.sha256((repr(chosen) + program()).encode()).hexdigest()


@cache  # the files are part of the program
def program() -> str:
    """Fingerprint of all files that figures come from: another one for another version of them."""
    folders = [files("pipelines") / room for room in ("models", "statistics", "readiness", "reference")]
    folders += [folders[0] / folder for folder in ("staging", "marts", "checks")]
    found = sorted(
        (file.name, file.read_text(encoding="utf-8"))
        for folder in folders
        for file in folder.iterdir()
        if file.name.endswith((".py", ".sql", ".csv"))
    )
    return hashlib.sha256(repr(found).encode()).hexdigest()


def _keyed(keys: tuple[str, str], chosen: Iterable[tuple[tuple[str, str], Band]]) -> pa.Table:
    columns = (*((key, pa.string()) for key in keys), *_BAND)
    return _rows(columns, ((*key, band.low, band.target, band.high) for key, band in sorted(chosen)))


def _rows(columns: Iterable[tuple[str, pa.DataType]], rows: Iterable[tuple[object, ...]]) -> pa.Table:
    schema = pa.schema(columns)
    return pa.Table.from_pylist([dict(zip(schema.names, row, strict=True)) for row in rows], schema)
