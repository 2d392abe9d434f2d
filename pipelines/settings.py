"""Everything an adviser may set, in one frozen place.

Read once from `HOME/settings.toml` (every key optional) and handed down; no module keeps a global copy.
Defaults come from `pipelines/reference/`, where each carries its source; a value set by the practice is
the adviser's own and is shown as such.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any, Literal, get_args

from platformdirs import user_data_path

Stage = Literal["weaning", "pre-tupping", "tupping", "scanning", "lambing"]
System = Literal["hill", "upland", "lowland"]
Grazing = Literal["best", "ordinary", "holding", "hard"]
STAGES: tuple[Stage, ...] = get_args(Stage)
SYSTEMS: tuple[System, ...] = get_args(System)
GRAZING: tuple[Grazing, ...] = get_args(Grazing)


class SettingsError(ValueError):
    """A settings file that cannot be used; the message names the file, the key and the remedy."""


@dataclass(frozen=True, slots=True)
class Band:
    """Condition scores a ewe is judged against: thin below `low`, over above `high`, else on target."""

    low: float
    target: float
    high: float

    def __post_init__(self) -> None:
        if not 1 <= self.low <= self.target <= self.high <= 5:
            raise SettingsError(f"a band needs 1 ≤ low ≤ target ≤ high ≤ 5, not {self}")


@dataclass(frozen=True, slots=True)
class DaysPerScore:
    """Days to gain one score: median and central 90 % range; what `holding` and `hard` use is their own."""

    median: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not 0 < self.low < self.median < self.high:
            raise SettingsError(f"days per score need 0 < low < median < high, not {self}")


@dataclass(frozen=True, slots=True)
class Settings:
    """The adviser's choices. `None` and empty mappings mean: use the reference value."""

    home: Path
    as_of: date | None = None
    thin_limit: float = 0.10
    flush_days: int = 14
    minimum_release_farms: int = 5
    scorer_sd: float | None = None  # error of one reading of one ewe, in scores
    days_per_score_lost: float | None = None  # the fastest that over-fat ewes may lose condition
    hold_when_right: bool | None = None  # all ewes come right are held (true) or none is; None: learned
    gain: Mapping[Grazing, DaysPerScore] = field(default_factory=dict)
    bands: Mapping[tuple[System, Stage], Band] = field(default_factory=dict)
    farm_bands: Mapping[tuple[str, Stage], Band] = field(default_factory=dict)
    farm_grazing: Mapping[tuple[str, str], Grazing] = field(default_factory=dict)
    headings: Mapping[str, str] = field(default_factory=dict)

    def today(self) -> date:
        """The day that 'today' means: `--as-of` where given, else the calendar's."""
        return self.as_of or date.today()


def default_home() -> Path:
    """Where the data lives when `--home` is not given."""
    return user_data_path("tupping")


def load(home: Path, as_of: date | None = None) -> Settings:
    """Settings of the practice whose data lives in `home`.

    Raises `SettingsError` naming file, key and remedy when `home/settings.toml` cannot be used.
    """
    path = home / "settings.toml"
    settings = Settings(home=home, as_of=as_of)
    try:
        if not path.exists():
            return settings
        written = tomllib.loads(path.read_text(encoding="utf-8"))
        return replace(settings, **_typed(written))
    except (tomllib.TOMLDecodeError, SettingsError) as error:
        raise SettingsError(f"{path}: {error}") from error
    except UnicodeDecodeError as error:
        raise SettingsError(f"{path}: line {_line(error)} is not UTF-8: save the file as UTF-8") from error
    except OSError as error:
        raise SettingsError(
            f"{path} cannot be read ({error.strerror}): check what it is and who may"
        ) from error


def _line(error: UnicodeDecodeError) -> int:
    return error.object[: error.start].count(b"\n") + 1


def _typed(written: Mapping[str, Any]) -> dict[str, Any]:
    """TOML values as constructor arguments; every unknown key is named rather than ignored."""
    readers = {
        "thin_limit": _share,
        "flush_days": _whole_days,
        "minimum_release_farms": _release_minimum,
        "scorer_sd": _scorer_sd,
        "days_per_score_lost": _days_lost,
        "hold_when_right": _yes_or_no,
        "gain": _gain,
        "bands": _bands,
        "farms": None,
        "headings": _headings,
    }
    for key in written:
        if key not in readers:
            raise SettingsError(f"unknown key '{key}'; known: {', '.join(sorted(readers))}")
    values = {key: read(written[key]) for key, read in readers.items() if read and key in written}
    return values | _farms(_table("farms", written.get("farms", {})))


def _table(where: str, value: Any) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise SettingsError(f"{where}: write it as a table [{where}]")
    return value


def _number(where: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SettingsError(f"{where}: a number is needed, not {value!r}")
    return float(value)


def _share(value: Any) -> float:
    share = _number("thin_limit", value)
    if not 0 < share < 1:
        raise SettingsError(f"thin_limit: a share between 0 and 1 is needed (0.10 means 10 %), not {value!r}")
    return share


def _whole_days(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 60:
        raise SettingsError(f"flush_days: whole days from 0 to 60 are needed, not {value!r}")
    return value


def _release_minimum(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 5:
        raise SettingsError(f"minimum_release_farms: 5 or more (it may only be raised), not {value!r}")
    return value


def _scorer_sd(value: Any) -> float:
    error = _number("scorer_sd", value)
    if not 0 < error <= 1:
        raise SettingsError(f"scorer_sd: a scorer's error above 0 and up to 1 score is needed, not {value!r}")
    return error


def _days_lost(value: Any) -> float:
    days = _number("days_per_score_lost", value)
    if not 28 <= days <= 1000:
        raise SettingsError(
            "days_per_score_lost: the fewest days in which an over-fat ewe may lose one score, "
            f"28 to 1000 (no published limit exists: it is the adviser's setting), not {value!r}"
        )
    return days


def _yes_or_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise SettingsError(f"hold_when_right: true or false is needed, not {value!r}")
    return value


def _one_of(where: str, value: str, known: tuple[Any, ...]) -> Any:
    if value not in known:
        raise SettingsError(f"{where}: '{value}' is not one of {', '.join(known)}")
    return value


def _gain(value: Any) -> dict[Grazing, DaysPerScore]:
    gain = {}
    for name, days in _table("gain", value).items():
        where = f"gain.{name}"
        grazing = _one_of(where, name, ("best", "ordinary"))
        parts = _table(where, days)
        if set(parts) != {"median", "low", "high"}:
            raise SettingsError(f"{where}: give median, low and high in days per score")
        gain[grazing] = DaysPerScore(**{part: _number(f"{where}.{part}", parts[part]) for part in parts})
    return gain


def _band(where: str, value: Any) -> Band:
    parts = _table(where, value)
    if set(parts) != {"low", "target", "high"}:
        raise SettingsError(f"{where}: give low, target and high")
    return Band(**{part: _number(f"{where}.{part}", parts[part]) for part in parts})


def _bands(value: Any) -> dict[tuple[System, Stage], Band]:
    return {
        (_one_of(f"bands.{system}", system, SYSTEMS), stage): band
        for system, stages in _table("bands", value).items()
        for stage, band in _stage_bands(f"bands.{system}", stages).items()
    }


def _stage_bands(where: str, value: Any) -> dict[Stage, Band]:
    return {
        _one_of(f"{where}.{stage}", stage, STAGES): _band(f"{where}.{stage}", band)
        for stage, band in _table(where, value).items()
    }


def _farms(farms: Mapping[str, Any]) -> dict[str, Any]:
    bands: dict[tuple[str, Stage], Band] = {}
    grazing: dict[tuple[str, str], Grazing] = {}
    for farm, value in farms.items():
        where = f"farms.{farm}"
        parts = _table(where, value)
        for key in parts:
            _one_of(where, key, ("bands", "grazing"))
        for stage, band in _stage_bands(f"{where}.bands", parts.get("bands", {})).items():
            bands[farm, stage] = band
        for group, name in _table(f"{where}.grazing", parts.get("grazing", {})).items():
            grazing[farm, group] = _one_of(f"{where}.grazing.{group}", name, GRAZING)
    return {"farm_bands": bands, "farm_grazing": grazing}


def _headings(value: Any) -> dict[str, str]:
    headings = _table("headings", value)
    for written, column in headings.items():
        if not isinstance(column, str):
            raise SettingsError(f"headings.{written}: name one of the program's columns")
    return dict(headings)
