"""Invented discussion groups as published tables."""

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

SCORES = np.arange(1.5, 4.6, 0.5)


@dataclass
class Group:
    """Farms of one group over seasons. Each has a lasting trait, so that its figures are alike every year."""

    seed: int
    systems: tuple[str, ...] = ("lowland",) * 8
    farms: list[dict] = field(default_factory=list)

    def __post_init__(self):
        self.random = np.random.default_rng(self.seed)
        for system in self.systems:
            self.join(system)

    def join(self, system="lowland"):
        number = len(self.farms) + 1
        self.farms.append(
            {
                "farm": f"Q{number:03d}X",
                "name": f"Withybrook {number}",
                "contact": f"person{number}@withybrook.example",
                "system": system,
                "ewes": int(self.random.choice([60, 120, 180, 260, 390, 450, 800])),
                "rams_week": int(self.random.integers(0, 6)),
                "trait": self.random.normal(0, 0.35),
                "member": True,
            }
        )

    def tables(self, season, steps=()):
        """farm_season, session_summary, score_distribution of the present members for a season."""
        seasons, sessions, cells = [], [], []
        for farm in (farm for farm in self.farms if farm["member"]):
            rams_in = date(season, 10, 5) + timedelta(weeks=farm["rams_week"])
            seasons.append({"season": season, "discussion_group": "vale", "rams_in": rams_in, **farm})
            for stage, weeks in [("weaning", 10), ("pre-tupping", 5)]:
                scored_on = rams_in - timedelta(weeks=weeks, days=int(self.random.integers(0, 7)))
                self._session(farm, season, stage, scored_on, sessions, cells, dict(steps))
        return pd.DataFrame(seasons), pd.DataFrame(sessions), pd.DataFrame(cells)

    def _session(self, farm, season, stage, scored_on, sessions, cells, steps):
        centre = 2.9 + farm["trait"] - (0.5 if farm["system"] == "hill" else 0)
        ewes = min(farm["ewes"], int(self.random.choice([30, 100, 900])))
        step = steps.get(farm["farm"], 0.5)
        scores = (np.rint(self.random.normal(centre, 0.5, ewes) / step) * step).clip(1, 5)
        key = {"farm": farm["farm"], "season": season, "scored_on": scored_on, "stage": stage}
        sessions.append(
            {
                **key,
                "group": "ALL",
                "ewes": ewes,
                "mean_score": scores.mean(),
                "over": int((scores > 4).sum()),
                "thin_share": float((scores < 3).mean()),
                "on_target_share": float(((scores >= 3) & (scores <= 4)).mean()),
            }
        )
        for score, count in zip(*np.unique(scores, return_counts=True), strict=True):
            cells.append({**key, "group": "main", "score": score, "ewes": int(count)})


@pytest.fixture
def make_group():
    return Group
