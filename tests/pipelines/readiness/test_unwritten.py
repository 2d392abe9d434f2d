"""What is learned of unwritten grazing: against the joint normal written out, and in simulated worlds."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from pipelines.readiness.backtest import assess
from pipelines.readiness.pace import PracticePace, prior
from pipelines.readiness.together import Between
from pipelines.readiness.unwritten import learn, practice
from tests.pipelines.readiness.simulate import UNWRITTEN, World
from tests.pipelines.readiness.simulate import practice as simulated
from tests.pipelines.readiness.walkthrough import walk, walk_unwritten

OFFSET_SD = 0.135
KNOWN = PracticePace((0.2, 0.9), (0.1, 0.15), (0.3, 0.2), 0.4, 0.6)
SPANS = ((0, 1), (0, 2), (1, 2))


def between(rows):
    """Each row: farm, season, start, end, gain, error of the ewes, effect of an offset, early, late."""
    columns = np.array(rows, float).reshape(-1, 9).T
    whole = [column.astype(np.intp) for column in columns[:4]]
    return Between(*whole, *columns[4:7], columns[7:].T)


FARM = between(
    [
        (0, 0, 0, 1, 0.10, 0.04, 1.0, 0.5, 0.0),
        (0, 0, 1, 2, 0.45, 0.05, 1.2, 0.1, 0.4),
        (0, 0, 1, 2, 0.40, 0.06, 1.0, 0.1, 0.4),  # another group, of the same two sessions
        (0, 1, 4, 5, 0.05, 0.04, 1.0, 0.6, 0.0),
        (0, 2, 8, 9, 0.15, 0.03, 1.0, 0.5, 0.1),
    ]
)


def spread(known):
    """Covariance of farm effects with the doubt of the practice's mean, and of season effects."""
    whole = np.array([[known.sd[0] ** 2, known.alike * known.sd[0] * known.sd[1]], [0.0, known.sd[1] ** 2]])
    whole[1, 0] = whole[0, 1]
    return known.lasting * whole + np.diag(np.square(known.mean_sd)), (1 - known.lasting) * whole


def written_out(seen, known, season, session):
    """Mean and covariance of the paces in `season` and the offset of `session`, and then of the gains."""
    farm, within = spread(known)
    size = len(seen.farm)
    own = np.zeros((size + 3, size + 3))
    loads = [np.hstack([np.eye(2), np.zeros((2, 1))]).T, *seen.multiples[:, None, :]]
    at = [season, *seen.season]
    place = [slice(0, 3), *(slice(3 + row, 4 + row) for row in range(size))]
    for i in range(size + 1):
        for j in range(size + 1):
            alike = farm + (within if at[i] == at[j] else 0)
            own[place[i], place[j]] = loads[i] @ alike @ loads[j].T
    days = sorted({*seen.start.tolist(), *seen.end.tolist(), session})
    effect = np.zeros((size + 3, len(days)))
    effect[2, days.index(session)] = 1
    for row in range(size):
        effect[3 + row, days.index(seen.end[row])] = seen.per_offset[row]
        effect[3 + row, days.index(seen.start[row])] = -seen.per_offset[row]
    missed = 0.05 * (seen.per_offset - 1)  # where many are held
    own += OFFSET_SD**2 * effect @ effect.T + np.diag([0, 0, 0, *(seen.sd**2 + missed**2)])
    return np.concatenate([known.mean, [0.0], seen.multiples @ known.mean]), own


@pytest.mark.parametrize(("season", "session"), [(2, 9), (0, 2), (7, 30)])
def test_a_farms_pace_is_that_of_the_whole_joint_normal(season, session):
    found = learn(FARM, np.array([season]), np.array([session]), OFFSET_SD, [KNOWN])
    mean, whole = written_out(FARM, KNOWN, season, session)
    gain = np.linalg.solve(whole[3:, 3:], whole[3:, :3]).T
    expected = mean[:3] + gain @ (FARM.observed - mean[3:])
    left = whole[:3, :3] - gain @ whole[3:, :3]
    assert found.mean[0] == pytest.approx(expected[:2], rel=1e-5)
    assert found.covariance[0] == pytest.approx(left[:2, :2], rel=1e-5)
    fall, covariance = found.fall[0], found.covariance[0]
    assert found.offset[0] - fall @ found.mean[0] == pytest.approx(expected[2], abs=1e-6)
    assert -covariance @ fall == pytest.approx(left[:2, 2], abs=1e-6)
    assert found.offset_sd[0] ** 2 + fall @ covariance @ fall == pytest.approx(left[2, 2], rel=1e-4)


def test_a_farm_that_has_shown_nothing_is_as_its_practice():
    found = learn(between([]), np.array([3]), np.array([5]), OFFSET_SD, [KNOWN])
    assert found.mean[0].tolist() == [0.2, 0.9]
    assert np.diag(found.covariance[0]) == pytest.approx([0.3**2 + 0.1**2, 0.2**2 + 0.15**2])
    assert (found.offset[0], found.offset_sd[0]) == (0, OFFSET_SD)


def test_no_other_spread_of_farms_is_likelier_with_the_prior_written_out():
    rng = np.random.default_rng(3)
    rows = [
        (
            farm,
            season,
            4 * season,
            4 * season + 1,
            0.1 + 0.05 * (farm % 3) + 0.05 * rng.normal(),
            0.03,
            1,
            0.5,
            0.1,
        )
        for farm in range(6)
        for season in range(2)
    ]
    seen, sd = between(rows), prior()[1] * 0.5**0.5
    found = practice(seen, OFFSET_SD)

    def cost(point):
        log_sd, alike, lasting = point[:2], np.tanh(point[2]), 1 / (1 + np.exp(-point[3]))
        known = PracticePace((0.5, 0.5), (0.0, 0.0), tuple(np.exp(log_sd)), alike, lasting)
        away = (point - [np.log(sd), np.log(sd), np.arctanh(0.5), 0]) / [1, 1, 0.5, 0.5]
        at = seen.multiples @ [0.5, 0.5]
        return away @ away / 2 - multivariate_normal.logpdf(seen.observed, at, of_all(seen, known, sd))

    told = np.array([*np.log(found.sd), np.arctanh(found.alike), np.log(found.lasting / (1 - found.lasting))])
    beside = [cost(told + step) for step in 0.03 * np.vstack([np.eye(4), -np.eye(4)])]
    assert cost(told) < min(beside)


def of_all(seen, known, mean_sd):
    """Covariance of all gains: farms share only the practice's mean."""
    whole = mean_sd**2 * seen.multiples @ seen.multiples.T
    for farm in set(seen.farm.tolist()):
        rows = np.flatnonzero(seen.farm == farm)
        mine = Between(*(getattr(seen, name)[rows] for name in Between.__slots__))
        whole[np.ix_(rows, rows)] += written_out(mine, known, -1, -1)[1][3:, 3:]
    return whole


def test_a_practice_of_one_farm_does_not_teach_that_farm_twice():
    alone = practice(FARM, OFFSET_SD)
    assert alone.mean == pytest.approx((0.5, 0.5))
    assert alone.mean_sd == pytest.approx((prior()[1] * 0.5**0.5,) * 2, rel=2e-3)


@pytest.mark.parametrize("name", list(UNWRITTEN)[:4])
def test_where_nothing_is_written_the_pace_is_found_out(name):
    drawn = simulated(World(**{**UNWRITTEN[name].__dict__, "farms": 40}), 1)
    for span in SPANS:
        mine, ordinary = walk_unwritten(drawn, *span), walk(drawn, *span)
        told, was = assess(mine.recorded, mine.observed), assess(ordinary.predicted, ordinary.observed)
        # of 40 farms one practice in a hundred has fewer than 31 in ranges of 90 % (binomial)
        assert told.covered[2] >= 31 / 40 and assess(mine.true, mine.truth).covered[2] >= 31 / 40
        assert told.crps < 1.05 * was.crps


def test_taking_unwritten_grazing_for_ordinary_promises_ewes_that_stand_still_too_much():
    drawn = simulated(World(**{**UNWRITTEN["stands still"].__dict__, "farms": 40}), 1)
    mine, ordinary = walk_unwritten(drawn, 0, 1), walk(drawn, 0, 1)
    told, was = assess(mine.recorded, mine.observed), assess(ordinary.predicted, ordinary.observed)
    assert told.crps < 0.6 * was.crps and abs(told.bias) < 0.05 < was.bias


def test_with_no_past_the_prior_holds_what_is_drawn_from_it():
    shares = (0.0, 0.25, 0.5, 0.75, 1.0)
    drawn = simulated(World(farms=200, seasons=1, best_part=0, early=shares, late=shares), 1)
    told = walk_unwritten(drawn, 0, 2)
    assert assess(told.recorded, told.observed).covered[2] > 0.87
    assert assess(told.true, told.truth).covered[2] > 0.87


def test_with_no_past_ewes_that_stand_still_are_held_far_oftener_than_if_taken_for_ordinary():
    drawn = simulated(World(**{**UNWRITTEN["stands still"].__dict__, "farms": 100, "seasons": 1}), 1)
    mine, ordinary = walk_unwritten(drawn, 0, 1), walk(drawn, 0, 1)
    held, were = (
        assess(*each).covered[2]
        for each in ((mine.true, mine.truth), (ordinary.truly_ready, ordinary.truth_ready))
    )
    assert held > 0.75 and were < 0.3


def test_where_many_are_held_all_of_a_practices_intervals_may_miss_as_much_of_the_gain():
    rows = [(farm, 0, 0, 1, 0.2, 0.03, 1.0, 0.5, 0.0) for farm in range(40)]
    held = [(*row[:6], 2.0, *row[7:]) for row in rows]  # the mean shows half of the gain
    free, doubtful = (practice(between(each), 0.0).mean_sd[0] for each in (rows, held))
    # 0.05 × (2 − 1) of a score in a gain of 0.5 at the full pace: 0.1 of it, however many the farms
    assert free < 0.1 < doubtful
