"""Walks through a simulated practice as the back-test does: the last session from the earlier ones."""

from dataclasses import dataclass, fields, replace

import numpy as np

from pipelines.readiness.backtest import nothing_changes, one_score_in_45_days
from pipelines.readiness.gain import published
from pipelines.readiness.learning import Intervals, Learned, intervals, learn, learned_rates, paired
from pipelines.readiness.projection import Cells, Groups, Predicted, project
from tests.pipelines.readiness.simulate import DAYS, Practice

OFFSET_SD = 0.135  # what the published agreement implies; the simulated scorers are not asked
BAND = (2.75, 3.5)


@dataclass(frozen=True)
class Walk:
    predicted: Predicted
    with_prior_only: Predicted
    held: Predicted  # as `predicted`, had the adviser said that ewes that are right are held
    held_truly_ready: Predicted
    rivals: tuple[Predicted, Predicted]
    observed: np.ndarray
    truly_ready: Predicted  # what the product shows: condition itself, not what a scorer will write
    truth_ready: np.ndarray
    learned: Learned
    own_mean: np.ndarray  # each asked farm-season's own mean of intervals, in standard units
    truth: np.ndarray  # in standard units


def walk(practice: Practice) -> Walk:
    last = practice.season.max()
    asked = np.flatnonzero(practice.season == last)
    rates = published(np.where(practice.best, "best", "ordinary").tolist())
    seen = _intervals(practice, rates)
    session = practice.season[asked] * len(DAYS) + len(DAYS) - 2
    learned = learn(seen, practice.farm[asked], practice.season[asked], session, OFFSET_SD)
    cells, later, share = _histograms(practice, asked)
    prior = _groups(practice, asked, rates.take(asked))
    mine = _groups(practice, asked, learned_rates(rates.take(asked), learned.mean, learned.sd))
    mine = replace(mine, offset=learned.offset)
    unit = (rates.high - rates.low)[asked] / (2 * 1.6448536269514722)
    return Walk(
        predicted=project(cells, mine, recorded=later).predicted,
        with_prior_only=project(cells, prior, recorded=later).predicted,
        held=project(cells, replace(mine, held=True), recorded=later).predicted,
        held_truly_ready=project(cells, replace(mine, held=True)).predicted,
        rivals=(nothing_changes(cells, prior, later), one_score_in_45_days(cells, prior, later)),
        observed=share,
        truly_ready=project(cells, mine).predicted,
        truth_ready=_truth(practice, asked),
        learned=learned,
        own_mean=learned.data_mean,
        truth=(practice.rate[asked] - rates.median[asked]) / unit,
    )


def _intervals(practice, rates):
    """Every interval before the session to be predicted, ewes paired."""
    found = []
    for first in range(len(DAYS) - 1):
        use = practice.present[:, first + 1]
        if first == len(DAYS) - 2:
            use = use & (practice.season != practice.season.max())[practice.unit]
        units, index = np.unique(practice.unit[use], return_inverse=True)
        change = (practice.score[:, first + 1] - practice.score[:, first])[use]
        days = np.full(len(units), float(DAYS[first + 1] - DAYS[first]))
        start = practice.season[units] * len(DAYS) + first
        found.append(
            intervals(
                practice.farm[units],
                practice.season[units],
                start,
                start + 1,
                paired(index, change, days),
                rates.take(units),
            )
        )
    names = [field.name for field in fields(Intervals)]
    return Intervals(*(np.concatenate([getattr(part, name) for part in found]) for name in names))


def _histograms(practice, asked):
    """Cells of the last session but one, and how many ewes and what share in the band the last recorded."""
    rows = np.isin(practice.unit, asked) & practice.present[:, -2]
    place = np.searchsorted(asked, practice.unit[rows])
    keys, ewes = np.unique(np.stack([place, practice.score[rows, -2]]), axis=1, return_counts=True)
    cells = Cells(keys[0].astype(np.intp), keys[1], ewes.astype(float))
    there = np.isin(practice.unit, asked) & practice.present[:, -1]
    place, score = np.searchsorted(asked, practice.unit[there]), practice.score[there, -1]
    later = np.bincount(place, minlength=len(asked)).astype(float)
    ready = np.bincount(place, (score >= BAND[0]) & (score <= BAND[1]), len(asked))
    return cells, later, ready / later


def _truth(practice, asked):
    """Share whose true condition rounds to a score inside the band."""
    there = np.isin(practice.unit, asked) & practice.present[:, -1]
    place = np.searchsorted(asked, practice.unit[there])
    step = practice.step[practice.unit[there]]
    exact = np.round(practice.ready_condition[there] / step) * step
    ready = np.bincount(place, (exact >= BAND[0]) & (exact <= BAND[1]), len(asked))
    return ready / np.bincount(place, minlength=len(asked))


def _groups(practice, asked, rates):
    size = len(asked)
    return Groups(
        days=np.full(size, float(DAYS[-1] - DAYS[-2])),
        low=np.full(size, BAND[0]),
        high=np.full(size, BAND[1]),
        step=practice.step[asked],
        flock=np.full(size, np.nan),
        rates=rates,
        gaining_since=np.full(size, float(DAYS[-2])),
    )
