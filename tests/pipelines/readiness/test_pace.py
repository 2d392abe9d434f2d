"""Pace where grazing was not written down: the prior and what it comes to, worked by hand."""

import numpy as np
import pytest
from scipy.stats import norm

from pipelines.readiness.pace import Paces, build_up_days, gain, of_practice, parted, prior, rates, unseen

USUAL = 1 / 75


def test_before_anything_is_known_ewes_may_stand_still_or_gain_as_on_ordinary_grazing():
    # shares 0, ¼ … 1: mean ½, variance 0.125, E[s²] = E[(1 − s)²] = 0.375; ordinary 50–120 days about 75,
    # and holding one score in 180 days either way (reference), at 90 %
    z = norm.ppf(0.95)
    ordinary, drift = 75 * (1 / 50 - 1 / 120) / (2 * z), 75 / 180 / z
    assert prior() == pytest.approx((0.5, (0.125 + 0.375 * (ordinary**2 + drift**2)) ** 0.5))


def test_a_practice_without_sessions_and_its_farms_share_the_priors_doubt():
    before = unseen()
    assert before.mean_sd[0] ** 2 + before.sd[0] ** 2 == pytest.approx(prior()[1] ** 2)


def test_days_are_parted_where_building_up_begins():
    first, last = np.array([0.0, 0.0, 20.0]), np.array([45.0, 30.0, 60.0])
    assert parted(first, last, np.array([38.0, 38.0, 10.0])).tolist() == [[38, 7], [30, 0], [0, 40]]
    assert build_up_days() == 56  # 8 weeks (common practice)


def test_the_gain_over_both_parts_worked_by_hand():
    # 30 days at 0.2 and 45 at 0.8 of a score in 75 days
    known = Paces(np.array([[0.2, 0.8]]), np.array([[[0.04, 0.01], [0.01, 0.09]]]), *offset())
    mean, sd, _ = gain(known, np.array([[30.0, 45.0]]), USUAL)
    assert mean[0] == pytest.approx(0.4 * 0.2 + 0.6 * 0.8)
    assert sd[0] ** 2 == pytest.approx(0.16 * 0.04 + 0.36 * 0.09 + 2 * 0.4 * 0.6 * 0.01)


def offset(at=0.0, fall=(0.0, 0.0), sd=0.1):
    return np.array([at]), np.array([fall]), np.array([sd])


def test_a_generous_session_and_a_fast_gain_explain_the_same_rise():
    known = Paces(np.array([[0.5, 0.5]]), np.diag([0.04, 0.0])[None], *offset(0.3, (0.4, 0.0)))
    found = gain(known, np.array([[75.0, 0.0]]), USUAL)[2]
    # 0.3 − 0.4 pace, the pace 0.5 ± 0.2 and all that the gain depends on
    assert (found.mean[0], found.slope[0], found.sd[0]) == pytest.approx((0.1, -0.08, 0.1))


def test_days_without_gain_ahead_leave_the_offset_as_wide_as_all_that_is_known_of_it():
    known = Paces(np.array([[0.5, 0.5]]), np.diag([0.04, 0.0])[None], *offset(0.3, (0.4, 0.0)))
    mean, _, found = gain(known, np.zeros((1, 2)), USUAL)
    assert mean[0] == 0 and found.slope[0] == pytest.approx(0, abs=1e-6)
    assert found.sd[0] == pytest.approx((0.1**2 + 0.08**2) ** 0.5, rel=1e-6)


def test_a_rate_may_be_a_loss_and_ewes_differ_even_where_their_group_stands_still():
    found = rates(np.array([0.0]), np.array([0.3]), np.array([60.0]), USUAL)
    assert found.median[0] == 0 and found.low[0] == pytest.approx(-norm.ppf(0.95) * 0.3 / 60)
    assert found.ewe_sd[0] == pytest.approx(0.3 * 0.25 / 75)  # 30 % (reference) of a quarter of the usual


def test_what_is_known_of_a_practice_alone_has_both_doubts():
    found = of_practice([unseen()], np.zeros(1, np.intp), np.array([[40.0, 0.0]]), USUAL)
    assert found.median[0] == pytest.approx(0.5 / 75)
    assert found.high[0] - found.median[0] == pytest.approx(norm.ppf(0.95) * prior()[1] / 75)
