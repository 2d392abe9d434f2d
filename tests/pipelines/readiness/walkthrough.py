"""Walks through a simulated practice as the back-test does: the last session from the earlier ones."""

from dataclasses import dataclass, replace

import numpy as np

from pipelines.readiness.backtest import nothing_changes, one_score_in_45_days
from pipelines.readiness.gain import published
from pipelines.readiness.holding import (
    EVEN,
    PARTS,
    Changes,
    GoingOn,
    Habits,
    evidence,
    going_on,
    habits,
    unheld,
)
from pipelines.readiness.learning import Learned, intervals, learn, learned_rates
from pipelines.readiness.pace import LEAST_PACE, gain, of_practice, parted, unseen
from pipelines.readiness.pace import rates as rates_of
from pipelines.readiness.projection import Cells, Groups, Predicted, project
from pipelines.readiness.together import Between
from pipelines.readiness.unwritten import learn as learn_pace
from pipelines.readiness.unwritten import practice as learn_practice
from tests.pipelines.readiness.simulate import DAYS, Practice

EWE_SD = 0.207
OFFSET_SD = 0.135  # what the published agreement implies; the simulated scorers are not asked
BAND = (2.75, 3.5)
RIGHT = 3.125  # the middle: where a simulated farm begins to hold, if it does, it does not tell
TURN = float(DAYS[-1] + 14 - 56)  # rams in two weeks after the last session, built up for from 8 weeks before
ORDINARY = 1 / 75


@dataclass(frozen=True)
class Walk:
    predicted: Predicted
    with_prior_only: Predicted  # of the rate; what is known of holding is as in `predicted`
    nobody_held: Predicted  # had the adviser said that all ewes go on
    rivals: tuple[Predicted, Predicted]
    observed: np.ndarray
    truly_ready: Predicted  # what the product shows: condition itself, not what a scorer will write
    truth_ready: np.ndarray
    learned: Learned
    own_mean: np.ndarray  # each asked farm-season's own mean of intervals, in standard units
    truth: np.ndarray  # in standard units
    going_on: GoingOn  # of each farm in the season asked for
    habits: Habits


def walk(practice: Practice, first: int = len(DAYS) - 2, end: int = len(DAYS) - 1) -> Walk:
    """Session `end` of the last season predicted from session `first`, and all known by then."""
    last = practice.season.max()
    asked = np.flatnonzero(practice.season == last)
    rates = published(np.where(practice.best, "best", "ordinary").tolist())
    units, start, changes = _changes(practice, first)
    farms = practice.farm[units]
    told = np.zeros((len(practice.farm), len(PARTS)))  # of every farm-season
    np.add.at(told, units, evidence(changes, rates.take(units), OFFSET_SD))
    ways = habits(told, practice.farm)
    n_farms = practice.farm.max() + 1
    known = going_on(told, practice.farm, np.tile(ways.spread, (n_farms, 1)), np.full(n_farms, ways.keeps))

    def learned_if(share):
        seen = unheld(changes, rates.take(units), share[units])
        found = intervals(farms, practice.season[units], start, start + 1, seen, rates.take(units))
        session = practice.season[asked] * len(DAYS) + first
        return learn(found, practice.farm[asked], practice.season[asked], session, OFFSET_SD)

    def told_if(learned, share):
        mine = _groups(
            practice, asked, learned_rates(rates.take(asked), learned.mean, learned.sd), first, end
        )
        return replace(mine, offset=learned.offset, going_on=share)

    learned = learned_if(known.mean)
    here = GoingOn(known.mean[asked], known.sd[asked])
    cells, later, share = _histograms(practice, asked, first, end)
    prior = replace(_groups(practice, asked, rates.take(asked), first, end), going_on=here)
    mine, free = told_if(learned, here), told_if(learned_if(np.ones_like(known.mean)), None)
    unit = (rates.high - rates.low)[asked] / (2 * 1.6448536269514722)
    return Walk(
        predicted=project(cells, mine, recorded=later).predicted,
        with_prior_only=project(cells, prior, recorded=later).predicted,
        nobody_held=project(cells, free, recorded=later).predicted,
        rivals=(nothing_changes(cells, prior, later), one_score_in_45_days(cells, prior, later)),
        observed=share,
        truly_ready=project(cells, mine).predicted,
        truth_ready=_truth(practice, asked, end),
        learned=learned,
        own_mean=learned.data_mean,
        truth=(practice.rate[asked] - rates.median[asked]) / unit,
        going_on=here,
        habits=ways,
    )


@dataclass(frozen=True)
class Told:
    recorded: Predicted
    true: Predicted
    observed: np.ndarray
    truth: np.ndarray


def project_unlearned(practice: Practice) -> Told:
    """The last session from the one before and the priors alone, as in a practice's first season."""
    asked = np.flatnonzero(practice.season == practice.season.max())
    rates = published(np.where(practice.best[asked], "best", "ordinary").tolist())
    none, even = np.zeros((len(asked), len(PARTS))), np.tile(EVEN, (len(asked), 1))
    prior = going_on(none, np.arange(len(asked)), even, np.full(len(asked), 0.5))
    first, end = len(DAYS) - 2, len(DAYS) - 1
    mine = replace(_groups(practice, asked, rates, first, end), going_on=prior)
    cells, later, share = _histograms(practice, asked, first, end)
    return Told(
        project(cells, mine, recorded=later).predicted,
        project(cells, mine).predicted,
        share,
        _truth(practice, asked, end),
    )


def walk_unwritten(practice: Practice, first: int, end: int) -> Told:
    """As `walk`, of ewes of whose grazing nothing was written."""
    asked = np.flatnonzero(practice.season == practice.season.max())
    units, start, changes = _changes(practice, first)
    farms, none = practice.farm[units], np.zeros(len(units), np.intp)
    begin, finish = (np.array(DAYS, float)[start % len(DAYS) + step] for step in (0, 1))
    parts = parted(begin, finish, np.full(len(units), TURN))
    owners, pace = int(practice.farm.max()) + 1, unseen()
    for _ in range(2):  # as the product does: pace and holding in turn
        rates = of_practice([pace], none, parts, ORDINARY)
        told = np.zeros((len(practice.farm), len(PARTS)))
        np.add.at(told, units, evidence(changes, rates, OFFSET_SD))
        ways = habits(told, practice.farm)
        known = going_on(told, practice.farm, np.tile(ways.spread, (owners, 1)), np.full(owners, ways.keeps))
        free = unheld(changes, rates, known.mean[units])
        seen = Between(
            farms, practice.season[units], start, start + 1, free.rate * changes.days, free.sd * changes.days,
            changes.days / free.days, ORDINARY * parts,
        )  # fmt: skip
        pace = learn_practice(seen, OFFSET_SD)
    size = len(asked)
    session = np.full(size, practice.season.max() * len(DAYS) + first)
    paces = learn_pace(seen, practice.season[asked], session, OFFSET_SD, [pace] * size)
    there = np.array(DAYS, float)[[first, end]]
    ahead, past = (
        np.tile(parted(*(np.array([day]) for day in (*span, TURN))), (size, 1))
        for span in (there, (0.0, there[0]))
    )
    mean, sd, offset = gain(paces, ahead, ORDINARY)
    found = rates_of(mean, sd, ahead.sum(axis=1), ORDINARY)
    since = np.maximum(gain(paces, past, ORDINARY)[0], 0) / np.maximum(found.median, LEAST_PACE * ORDINARY)
    mine = replace(
        _groups(practice, asked, found, first, end),
        offset=offset,
        going_on=GoingOn(known.mean[asked], known.sd[asked]),
        gaining_since=since,
    )
    cells, later, share = _histograms(practice, asked, first, end)
    recorded, true = (project(cells, mine, recorded=each).predicted for each in (later, None))
    return Told(recorded, true, share, _truth(practice, asked, end))


def _changes(practice, known):
    """Every interval up to session `known` of the last season, ewes paired: farm-season, session, what was
    seen."""
    found = [_change(practice, first, known) for first in range(len(DAYS) - 1)]
    units, start = (np.concatenate([part[place] for part in found]) for place in (0, 1))
    columns = [_joined(column) for column in zip(*(part[2] for part in found), strict=True)]
    return units, start, Changes(*columns)


def _joined(column):
    """One after another; of shares before and after, each."""
    if isinstance(column[0], tuple):
        return tuple(np.concatenate(each) for each in zip(*column, strict=True))
    return np.concatenate(column)


def _change(practice, first, known):
    use = practice.present[:, first + 1]
    if first + 1 > known:
        use = use & (practice.season != practice.season.max())[practice.unit]
    units, index, number = np.unique(practice.unit[use], return_inverse=True, return_counts=True)
    before, after = practice.score[use, first], practice.score[use, first + 1]
    step = practice.step[units]

    def mean(values):
        return np.bincount(index, values) / number

    def spread(values):
        return np.sqrt(mean((values - mean(values)[index]) ** 2) * number / (number - 1))

    over = tuple(mean(scores > BAND[1]) for scores in (before, after))
    edge = np.floor(BAND[1] / step + 1e-9) * step + step / 2
    sd = spread(before)
    true = np.sqrt(np.maximum(sd**2 - EWE_SD**2 - step**2 / 12, 0.01))
    days = np.full(len(units), float(DAYS[first + 1] - DAYS[first]))
    one = np.ones(len(units))
    seen = (
        days, mean(after - before), spread(after - before) / np.sqrt(number), mean(before), sd, true,
        RIGHT * one, over, (edge, edge), number.astype(float), one,
    )  # fmt: skip
    return units, practice.season[units] * len(DAYS) + first, seen


def _histograms(practice, asked, first, end):
    """Cells of session `first`, and how many ewes and what share in the band `end` recorded."""
    rows = np.isin(practice.unit, asked) & practice.present[:, first]
    place = np.searchsorted(asked, practice.unit[rows])
    keys, ewes = np.unique(np.stack([place, practice.score[rows, first]]), axis=1, return_counts=True)
    cells = Cells(keys[0].astype(np.intp), keys[1], ewes.astype(float))
    there = np.isin(practice.unit, asked) & practice.present[:, end]
    place, score = np.searchsorted(asked, practice.unit[there]), practice.score[there, end]
    later = np.bincount(place, minlength=len(asked)).astype(float)
    ready = np.bincount(place, (score >= BAND[0]) & (score <= BAND[1]), len(asked))
    return cells, later, ready / later


def _truth(practice, asked, end):
    """Share whose true condition rounds to a score inside the band."""
    there = np.isin(practice.unit, asked) & practice.present[:, end]
    place = np.searchsorted(asked, practice.unit[there])
    step = practice.step[practice.unit[there]]
    exact = np.round(practice.condition[there, end] / step) * step
    ready = np.bincount(place, (exact >= BAND[0]) & (exact <= BAND[1]), len(asked))
    return ready / np.bincount(place, minlength=len(asked))


def _groups(practice, asked, rates, first, end):
    size = len(asked)
    return Groups(
        days=np.full(size, float(DAYS[end] - DAYS[first])),
        low=np.full(size, BAND[0]),
        high=np.full(size, BAND[1]),
        step=practice.step[asked],
        flock=np.full(size, np.nan),
        rates=rates,
        gaining_since=np.full(size, float(DAYS[first])),
    )
