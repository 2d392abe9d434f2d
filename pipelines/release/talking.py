"""What to talk about at the meeting, found by computation from a release alone."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from pipelines.readiness.words import percent
from pipelines.release.build import Release
from pipelines.settings import STAGES

_NOTHING_MUCH = 0.075  # shares are rounded to 5 %, so two of them differ by up to that much by rounding alone


def stages(release: Release) -> list[str]:
    """Stages of the release, earliest first."""
    found = set(release.figures["stage"])
    return [stage for stage in STAGES if stage in found]


def latest(release: Release) -> pd.DataFrame:
    """`figures` of each letter's latest stage of this season, best on target first."""
    rows = _in_order(release.figures[release.figures["seasons_ago"] == 0]).groupby("letter").tail(1)
    return rows.sort_values(["on_target_share", "letter"], ascending=[False, True]).reset_index(drop=True)


def changes(release: Release) -> pd.DataFrame:
    """Change of each letter's share on target since an earlier session, largest rise first.

    Columns `letter`, `stage`, `since`, `share_from`, `share_to`, `change` (shares 0–1). `since` is the stage
    before in this season, or `last season`, when the session of the same stage is meant; a letter has a row
    for each that the release holds.
    """
    figures = release.figures
    now = latest(release)[["letter", "stage", "on_target_share"]].rename(
        columns={"on_target_share": "share_to"}
    )
    earlier = _in_order(figures[figures["seasons_ago"] == 0])
    earlier = earlier[earlier.duplicated("letter", keep="last")].groupby("letter").tail(1)
    found = pd.concat(
        [
            _since(now, earlier, earlier["stage"]),
            _since(now, figures[figures["seasons_ago"] == 1], "last season"),
        ],
        ignore_index=True,
    )
    return found.sort_values(["change", "letter"], ascending=[False, True]).reset_index(drop=True)


def since_last(release: Release) -> pd.DataFrame:
    """The rows of `changes` of the kind that most letters have; this season's session before wins a tie."""
    moved = changes(release)
    year = moved["since"] == "last season"
    return moved[year if year.sum() > (~year).sum() else ~year].reset_index(drop=True)


def spreads(release: Release) -> pd.DataFrame:
    """`letter` and `apart` (scores): how far a ewe is from her flock's mean, on average, at its latest stage.

    Worked out from the middles of the released bins.
    """
    at = latest(release)[["letter", "stage"]]
    cells = release.distribution.merge(at, on=["letter", "stage"])
    middle = (cells["score_from"] + cells["score_to"]) / 2
    rows = []
    for letter, of in cells.groupby("letter"):
        weights, scores = of["share"].to_numpy(), middle[of.index].to_numpy()
        mean = np.average(scores, weights=weights)
        rows.append((str(letter), float(np.average(np.abs(scores - mean), weights=weights))))
    found = pd.DataFrame(rows, columns=["letter", "apart"])
    return found.sort_values(["apart", "letter"], ascending=[False, True]).reset_index(drop=True)


def points(release: Release) -> tuple[str, str, str]:
    """Largest mover, widest spread and most improved, each as a sentence or two."""
    moved = since_last(release)
    return _largest_mover(moved), _widest(release), _most_improved(moved)


def _since(now: pd.DataFrame, earlier: pd.DataFrame, since: pd.Series[Any] | str) -> pd.DataFrame:
    before = earlier.assign(since=since, share_from=earlier["on_target_share"])
    found = now.merge(before[["letter", "since", "share_from"]], on="letter")
    return found.assign(change=(found["share_to"] - found["share_from"]).round(2))


def _in_order(figures: pd.DataFrame) -> pd.DataFrame:
    place = figures["stage"].map({stage: place for place, stage in enumerate(STAGES)})
    return figures.assign(place=place).sort_values(["letter", "place"]).drop(columns="place")


def _largest_mover(moved: pd.DataFrame) -> str:
    if moved.empty:
        return _once("Largest mover")
    size = moved["change"].abs()
    if size.max() < _NOTHING_MUCH:
        return "Largest mover: none. No flock has moved by more than the rounding of these figures."
    most = moved[size == size.max()]
    moves = "; ".join(
        f"{row.letter} from {_percent(row.share_from)} on target {_then(row)} to {_percent(row.share_to)}"
        for row in most.head(3).itertuples()
    )
    return f"Largest mover: {moves}{_and_more(len(most) - 3)}. What was done between the two sessions?"


def _then(row: Any) -> str:
    return f"at {row.stage} last season" if row.since == "last season" else f"at {row.since}"


def _widest(release: Release) -> str:
    apart = spreads(release)
    most = apart["apart"].round(2)
    letters = list(apart["letter"][most == most.max()])
    if len(letters) == len(apart) or len(letters) > 3:
        return "Widest spread: none stands out. The scores of all flocks are spread about alike."
    return (
        f"Widest spread: {_listed(letters)}. There a ewe is {most.max():.2f} of a score from her flock’s "
        f"mean on average; in the middle flock {apart['apart'].median():.2f}. Would sorting into groups pay?"
    )


def _most_improved(moved: pd.DataFrame) -> str:
    if moved.empty:
        return _once("Most improved")
    best = moved["change"].max()
    if best < _NOTHING_MUCH:
        return "Most improved: none. No flock’s share on target has risen by more than the rounding."
    letters = list(moved["letter"][moved["change"] == best])
    has = "has" if len(letters) == 1 else "have each"
    return (
        f"Most improved: {_listed(letters)} {has} {best * 100:.0f} in a hundred more ewes on target than "
        f"{_then(moved.iloc[0])}. What worked, and would it work elsewhere?"
    )


def _once(what: str) -> str:
    return f"{what}: cannot be told, because these flocks can be shown at one session only so far."


def _and_more(others: int) -> str:
    return f", and {others} more as much" if others > 0 else ""


def _listed(letters: list[str]) -> str:
    return letters[0] if len(letters) == 1 else f"{', '.join(letters[:-1])} and {letters[-1]}"


def _percent(share: float) -> str:
    return percent(share).replace(" %", "\u00a0%")
