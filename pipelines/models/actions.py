"""What to do with an identified ewe outside the tupping band, by the score she shares with others."""

from __future__ import annotations

import numpy as np
import pandas as pd

from pipelines.settings import Settings

RESCORE_DAYS = 21  # thin ewes are scored again every three weeks (Teagasc, quoted)


def decided(cells: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Cells with `action`, `reason` and `rescore_by` (a day, missing when there is no more time).

    `cells` needs score, target_low, target_high, days_needed, days_left, chance_ready, chance_on_best,
    grazing and ready_by; one row per score of a group.
    """
    over, late = cells["score"] > cells["target_high"], cells["days_left"] < 0
    unlikely, holds = cells["days_needed"] > cells["days_left"], cells["chance_ready"] >= 0.5
    action = np.select(
        [late, over, unlikely, holds],
        ["score again", "hard going", "unlikely in time", "hold"],
        "best grazing",
    )
    reason = [_reason(*row) for row in zip(
        action, cells["grazing"], cells["days_needed"], cells["days_left"], cells["chance_ready"],
        cells["chance_on_best"], cells["ready_by"], cells["target_high"], strict=True,
    )]  # fmt: skip
    again = pd.Timestamp(settings.today()) + pd.Timedelta(days=RESCORE_DAYS)
    rescore_by = cells["ready_by"].where(cells["ready_by"] < again, again).where(~late)
    return cells.assign(action=action, reason=reason, rescore_by=rescore_by)


def _reason(
    action: str, grazing: str, needed: float, left: int, chance: float, on_best: float,
    ready_by: pd.Timestamp, high: float,
) -> str:  # fmt: skip
    if action == "score again":
        return f"to be ready by {ready_by:%Y-%m-%d}, which is past: score her again before deciding"
    if action == "hard going":
        return f"above {high:g}: {chance:.0%} likely to be inside the band in time on {grazing} grazing"
    if action == "unlikely in time":
        return (
            f"needs {needed:.0f} days on best grazing, {left} left: examine, and decide on her with the vet"
        )
    if action == "hold":
        return f"{chance:.0%} likely ready on {grazing} grazing"
    return f"{chance:.0%} likely ready on {grazing} grazing, {on_best:.0%} on best"
