"""From the published tables of one discussion group to its anonymised release."""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count, product
from random import Random, SystemRandom
from string import ascii_uppercase

import numpy as np
import pandas as pd

from pipelines.release.classes import SMALLEST, Class, Member, classify
from pipelines.release.ledger import Entry
from pipelines.settings import STAGES

UNSIZED = "left out: the register does not give its number of ewes"
_SHARE_STEP, _MEAN_STEP, _EWES_STEP = 0.05, 0.1, 10


class ReleaseError(ValueError):
    """A release that would not be safe; the message says why and what would help."""


@dataclass(frozen=True, slots=True)
class Release:
    """All that leaves the practice. Nothing in it names a farm, a place, a person, an ewe or a day.

    `letters`: letter, system, flock_size. `figures`: letter, seasons_ago (0, or 1 for last season's
    session at the latest stage), stage, weeks_from, weeks_to (whole weeks before rams in are negative),
    ewes_at_least, mean_score, thin_share, on_target_share, over_share. `distribution`, of this season:
    letter, stage, score_from, score_to (up to but not including), share.
    """

    release: str
    season: int
    letters: pd.DataFrame
    figures: pd.DataFrame
    distribution: pd.DataFrame


@dataclass(frozen=True, slots=True)
class Issued:
    """A release with what the practice alone may see: farm → letter, farm → why left out, ledger entry."""

    release: Release
    letter_of: Mapping[str, str]
    left_out: Mapping[str, str]
    entry: Entry


def issue(
    group: str,
    season: int,
    *,
    farms: pd.DataFrame,
    sessions: pd.DataFrame,
    distribution: pd.DataFrame,
    ledger: Sequence[Entry],
    minimum: int,
    choose: Random | None = None,
) -> Issued:
    """Build the release of a discussion group for one season, about the latest stage that allows it.

    `farms`, `sessions`, `distribution` are the published tables farm_season, session_summary and
    score_distribution, of the group's farms in this season and, as far as known, the one before; `ledger`
    holds every earlier release; `minimum` farms must remain. `choose` is a source of randomness for tests; by
    default the operating system's. The caller keeps `entry` in the ledger before the release is handed out.
    Raises `ReleaseError`.
    """
    choose = choose or SystemRandom()
    latest = _latest_sessions(farms, sessions, season)
    farms = farms[(farms["discussion_group"] == group) & (farms["season"] == season)]
    latest = latest[latest["farm"].isin(farms["farm"])]
    now = latest[latest["seasons_ago"] == 0]
    members = [
        Member(str(row.farm), str(row.system), int(row.ewes))  # type: ignore[arg-type]
        for row in farms[farms["ewes"].notna()].itertuples()
    ]
    unsized = farms.loc[farms["ewes"].isna(), "farm"]
    at_stage = {str(stage): set(rows["farm"]) for stage, rows in now.groupby("stage")}
    stage, classes = _classes(members, at_stage, ledger, minimum, choose)
    if not classes:
        raise ReleaseError(_too_few(group, len(farms), minimum))
    inside = [farm for at in classes for farm in at.farms]
    letter_of = dict(zip(inside, _letters(len(inside), choose), strict=True))
    number = {farm: place for place, at in enumerate(classes) for farm in at.farms}
    kept = _kept(latest[(latest["seasons_ago"] == 0) | (latest["stage"] == stage)], number)
    release = Release(
        secrets.token_hex(8),
        season,
        _letter_rows(classes, letter_of),
        _session_rows(kept, letter_of),
        _distribution_rows(kept[kept["seasons_ago"] == 0], distribution, letter_of),
    )
    entry = Entry(release.release, group, season, number)
    left_out = _left_out(members, at_stage[stage], inside, stage) | dict.fromkeys(unsized, UNSIZED)
    return Issued(release, letter_of, left_out, entry)


def _latest_sessions(farms: pd.DataFrame, sessions: pd.DataFrame, season: int) -> pd.DataFrame:
    """Each farm's latest whole session of each stage, this season and last, with weeks since rams in."""
    whole = sessions[(sessions["group"] == "ALL") & sessions["season"].isin([season - 1, season])].merge(
        farms[["farm", "season", "rams_in"]], on=["farm", "season"]
    )
    days = (pd.to_datetime(whole["scored_on"]) - pd.to_datetime(whole["rams_in"])).dt.days
    whole = whole.assign(weeks=np.floor(days / 7).astype(int), seasons_ago=season - whole["season"])
    return whole.sort_values("scored_on").groupby(["farm", "seasons_ago", "stage"]).tail(1)


def _classes(
    members: Sequence[Member],
    at_stage: Mapping[str, set[str]],
    ledger: Sequence[Entry],
    minimum: int,
    choose: Random,
) -> tuple[str, list[Class]]:
    """The latest stage at which `minimum` farms can be released, and their classes; none if there is none."""
    for stage in reversed(STAGES):
        scored = [member for member in members if member.farm in at_stage.get(stage, set())]
        classes = classify(scored, ledger, choose)
        if sum(len(at.farms) for at in classes) >= minimum:
            return stage, classes
    return "", []


def _too_few(group: str, farms: int, minimum: int) -> str:
    if farms < minimum:
        return (
            f"group {group}: a comparison needs at least {minimum} farms, and the group has {farms} in this "
            "season. Wait until more join."
        )
    return (
        f"group {group}: a comparison needs at least {minimum} farms that can be shown, and there are fewer "
        f"at every stage, of the group’s {farms}. Farms stay out that have not been scored, whose number of "
        "ewes is not registered, that share their system with too few, or whose coming or going would show "
        "from the difference to an earlier release. Score more, or wait until more join."
    )


def _left_out(
    members: Sequence[Member], scored: set[str], inside: Sequence[str], stage: str
) -> dict[str, str]:
    """Farms of the group that are not in the release, with the reason, for the practice's own eyes."""
    alone = (
        f"left out: fewer than {SMALLEST} farms share its system and its part in earlier releases, "
        "or it hides who has joined or left"
    )
    return {
        member.farm: alone if member.farm in scored else f"left out: not scored at {stage} this season"
        for member in members
        if member.farm not in inside
    }


def _letters(number: int, choose: Random) -> list[str]:
    """So many different letters (A, B, … Z, AA, …) in random order."""
    endless = ("".join(letters) for size in count(1) for letters in product(ascii_uppercase, repeat=size))
    letters = [letter for letter, _ in zip(endless, range(number), strict=False)]
    choose.shuffle(letters)
    return letters


def _letter_rows(classes: Sequence[Class], letter_of: Mapping[str, str]) -> pd.DataFrame:
    rows = [(letter_of[farm], at.system, at.flock_size) for at in classes for farm in at.farms]
    return _sorted(pd.DataFrame(rows, columns=["letter", "system", "flock_size"]), ["letter"])


def _kept(latest: pd.DataFrame, number: Mapping[str, int]) -> pd.DataFrame:
    """Sessions that every farm of a class has (season and stage), with what is said of the class alike."""
    rows = latest[latest["farm"].isin(list(number))]
    rows = rows.assign(at=rows["farm"].map(number))
    alike = rows.groupby(["at", "seasons_ago", "stage"])
    rows = rows.assign(
        weeks_from=alike["weeks"].transform("min"),
        weeks_to=alike["weeks"].transform("max"),
        ewes_at_least=alike["ewes"].transform("min") // _EWES_STEP * _EWES_STEP,
    )
    return rows[alike["farm"].transform("size") == rows["at"].map(Counter(number.values()))]


def _session_rows(kept: pd.DataFrame, letter_of: Mapping[str, str]) -> pd.DataFrame:
    rounded = {name: _rounded(kept[name], _SHARE_STEP) for name in ("thin_share", "on_target_share")}
    # from the counts: the published table has no share over target among the columns that stay
    rounded["over_share"] = _rounded(kept["over"] / kept["ewes"], _SHARE_STEP)
    rows = kept.assign(
        letter=kept["farm"].map(letter_of), mean_score=_rounded(kept["mean_score"], _MEAN_STEP), **rounded
    )
    columns = ["letter", "seasons_ago", "stage", "weeks_from", "weeks_to", "ewes_at_least", "mean_score"]
    by = ["letter", "seasons_ago", "weeks_from", "stage"]
    return _sorted(rows[[*columns, "thin_share", "on_target_share", "over_share"]], by)


def _distribution_rows(
    kept: pd.DataFrame, distribution: pd.DataFrame, letter_of: Mapping[str, str]
) -> pd.DataFrame:
    """Shares by bins as wide as the coarsest step in use, at least half a score.

    A farm that scores in whole steps would else be known by its gaps, one in quarters by its details.
    """
    keys = ["farm", "season", "scored_on", "stage"]
    rows = distribution.merge(kept[keys], on=keys)
    halves = (rows["score"] % 1 != 0).groupby(rows["farm"]).any()
    width = 0.5 if halves.all() else 1.0
    rows = rows.assign(letter=rows["farm"].map(letter_of), score_from=rows["score"] // width * width)
    ewes = rows.groupby(["letter", "stage", "score_from"], as_index=False)["ewes"].sum()
    share = ewes["ewes"] / ewes.groupby(["letter", "stage"])["ewes"].transform("sum")
    ewes = ewes.assign(score_to=ewes["score_from"] + width, share=_rounded(share, _SHARE_STEP))
    ewes = ewes[ewes["share"] > 0]
    return _sorted(
        ewes[["letter", "stage", "score_from", "score_to", "share"]], ["letter", "stage", "score_from"]
    )


def _rounded(values: pd.Series[float], step: float) -> pd.Series[float]:
    return ((values / step).round() * step).round(2)


def _sorted(frame: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    return frame.sort_values(by).reset_index(drop=True)
