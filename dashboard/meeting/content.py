"""What is said about a release, the same on its page and on paper; worked out from the release alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from pipelines.reference import cautions
from pipelines.release import talking
from pipelines.release.build import Release
from pipelines.release.classes import SMALLEST
from pipelines.settings import SYSTEMS

ABOUT = (
    "Each flock has a letter, drawn anew for every comparison; whoever belongs to a letter was told it on a "
    "card. Flocks of the same system and size band have letters in random order, and at least "
    f"{SMALLEST} share every description, so nobody can link a letter to a farm with a better chance than "
    f"one in {SMALLEST}, or one in {SMALLEST - 1} for a member, who knows one letter already.",
    "Shares are rounded to 5 in a hundred, means to 0.1 of a score. A difference of 5 in a hundred may be "
    "rounding alone, and with few ewes scored chance moves a share by more than that.",
    "Each stage has its own target, and each system too: compare within a system. "
    + " ".join(cautions("scores")),
)


@dataclass(frozen=True, slots=True)
class Session:
    """One letter at one stage; shares 0–1, weeks since rams in (before: negative)."""

    letter: str
    system: str
    flock_size: str
    stage: str
    seasons_ago: int
    weeks_from: int
    weeks_to: int
    ewes_at_least: int
    mean: float
    thin: float
    on_target: float
    over: float


@dataclass(frozen=True, slots=True)
class Spread:
    """One letter's scores at its latest stage: (from, up to, share of ewes)."""

    letter: str
    mean: float
    bins: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class Move:
    """Share on target (0–1) of one letter, before and now."""

    letter: str
    since: str
    before: float
    now: float


@dataclass(frozen=True, slots=True)
class Meeting:
    """The whole comparison. `latest`: one session a letter, like beside like, best on target first."""

    season: int
    release: str
    lead: str
    points: tuple[str, ...]
    latest: tuple[Session, ...]
    every: tuple[Session, ...]
    spreads: tuple[Spread, ...]
    moves: tuple[Move, ...]

    def classes(self) -> list[tuple[str, list[Session]]]:
        """Latest sessions of the flocks that are described alike, each with the description."""
        held: dict[str, list[Session]] = {}
        for at in self.latest:
            size = "" if at.flock_size == "any size" else f", {at.flock_size}"
            said = (
                f"{at.system.capitalize()} flocks{size}: {at.ewes_at_least:,} or more ewes scored in each, "
                f"{weeks(at.weeks_from, at.weeks_to)}"
            )
            held.setdefault(said, []).append(at)
        return list(held.items())

    def this_season(self) -> list[Session]:
        """Every session of this season."""
        return [at for at in self.every if not at.seasons_ago]


def meeting(release: Release) -> Meeting:
    """Everything that a page or a paper about `release` says."""
    latest = sorted(_sessions(release, talking.latest(release)), key=_place)
    order = [at.letter for at in latest]
    spreads = sorted(_spreads(release, latest), key=lambda spread: order.index(spread.letter))
    moves = [
        Move(str(row.letter), str(row.since), float(row.share_from), float(row.share_to))  # type: ignore[arg-type]
        for row in talking.since_last(release).itertuples()
    ]
    return Meeting(
        release.season,
        release.release,
        _lead(latest),
        talking.points(release),
        tuple(latest),
        tuple(_sessions(release, release.figures)),
        tuple(spreads),
        tuple(moves),
    )


def _place(at: Session) -> tuple[int, str]:
    return [*SYSTEMS].index(at.system), at.flock_size  # type: ignore[arg-type]


def weeks(first: int, last: int) -> str:
    """`7 to 8 weeks before rams in`, `the week of rams in`, `6 weeks after rams in`."""
    if first == last == 0:
        return "the week of rams in"
    ends = sorted({abs(first), abs(last)})
    if first < 0 < last:
        return f"from {-first} weeks before to {last} after rams in"
    said = " to ".join(str(end) for end in ends)
    return f"{said} week{'' if said == '1' else 's'} {'after' if last > 0 else 'before'} rams in"


def _sessions(release: Release, figures: pd.DataFrame) -> list[Session]:
    rows = figures.merge(release.letters, on="letter")
    return [
        Session(
            str(row.letter), str(row.system), str(row.flock_size), str(row.stage),
            int(row.seasons_ago), int(row.weeks_from), int(row.weeks_to), int(row.ewes_at_least),  # type: ignore[arg-type]
            float(row.mean_score), float(row.thin_share),  # type: ignore[arg-type]
            float(row.on_target_share), float(row.over_share),  # type: ignore[arg-type]
        )
        for row in rows.itertuples()
    ]  # fmt: skip


def _spreads(release: Release, latest: Sequence[Session]) -> list[Spread]:
    found = []
    for at in latest:
        cells = release.distribution
        cells = cells[(cells["letter"] == at.letter) & (cells["stage"] == at.stage)].sort_values("score_from")
        bins = cells[["score_from", "score_to", "share"]].itertuples(index=False)
        found.append(Spread(at.letter, at.mean, tuple((float(a), float(b), float(c)) for a, b, c in bins)))
    return found


def _lead(latest: Sequence[Session]) -> str:
    stages = sorted({at.stage for at in latest})
    first, last = min(at.weeks_from for at in latest), max(at.weeks_to for at in latest)
    return (
        f"{len(latest)} flocks scored at {' or '.join(stages)}, {weeks(first, last)}. No farm is named here."
    )
