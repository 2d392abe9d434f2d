"""What is told of each farm's rate of gain: published, seen and learned, for every class of grazing."""

from __future__ import annotations

import numpy as np
import pandas as pd

from pipelines.models import pace
from pipelines.models.digits import DIGITS
from pipelines.readiness.gain import Z95, days_per_score, published
from pipelines.readiness.learning import learned_rates
from pipelines.settings import Grazing, Settings

GAINING: tuple[Grazing, ...] = ("best", "ordinary")
UNSAID = "not stated"
MONTH = 30


def growth_figures(found: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Rows of `farm_growth`: for each farm and season of `growth.learned`, one per class of grazing.

    Where none was stated there are no days per score, as ewes may gain nothing: the pace is told instead.
    """
    rows = pd.concat(
        [*(_named(found.assign(grazing=grazing), settings) for grazing in GAINING), _unsaid(found, settings)]
    )
    return rows.sort_values(["farm", "season", "grazing"], ignore_index=True)


def _named(rows: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    prior = published(rows["grazing"].tolist(), settings.gain)
    mine = learned_rates(prior, rows["units_mean"].to_numpy(float), rows["units_sd"].to_numpy(float))
    unit = (prior.high - prior.low) / (2 * Z95)
    seen = (rows["intervals"] > 0).to_numpy()
    rate = np.where(seen, prior.median + unit * rows["data_mean"].to_numpy(float), np.nan)
    doubt = np.where(seen, Z95 * unit * np.where(seen, rows["data_sd"].to_numpy(float), 0.0), np.nan)
    for name, rates in (("prior", prior), ("learned", mine)):
        parts = zip(("median", "low", "high"), days_per_score(rates), strict=True)
        rows = rows.assign(**{f"{name}_{part}": days.round(DIGITS) for part, days in parts})
    return rows.drop(columns=[name for name in rows.columns if name.endswith("_pace")]).assign(
        observed_per_30_days=(MONTH * rate).round(DIGITS),
        observed_low=(MONTH * (rate - doubt)).round(DIGITS),
        observed_high=(MONTH * (rate + doubt)).round(DIGITS),
    )


def _unsaid(rows: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    gained = MONTH * pace.usual(settings) * rows["unwritten_share"]
    return rows.assign(
        grazing=UNSAID,
        observed_per_30_days=gained.round(DIGITS),
        intervals=rows["unwritten_intervals"],
        intervals_this_season=rows["unwritten_this_season"],
        units_mean=np.nan,
        units_sd=np.nan,
        **pace.figures(rows),
    )
