"""Counts and intervals of sessions, worked by hand."""

from datetime import date

import pytest
from statsmodels.stats.proportion import proportion_confint

from pipelines.settings import Band

ALL_OF = "\"group\" = 'ALL' and farm = '{}'"


def summary(world, columns, where="\"group\" = 'ALL'"):
    return world.table("session_summary", columns, where)


def test_a_ewe_at_either_end_of_the_band_is_on_target(world):
    bands = {"hill": (2.5, 3.0), "upland": (2.75, 3.5), "lowland": (3.0, 4.0)}
    for system, (low, high) in bands.items():
        world.register(system, system=system)
        world.tally(system, {low - 0.25: 1, low: 2, high: 4, high + 0.25: 8}, file=f"{system}.csv")
    world.build()
    for system, band in bands.items():
        counted = summary(world, "thin, on_target, over, target_low, target_high", ALL_OF.format(system))
        assert counted == [(1, 6, 8, *band)]


def test_groups_and_the_whole_session_are_counted(world):
    world.register("F1")
    world.tally("F1", {2.0: 3, 3.0: 1}, group="High field")
    world.tally("F1", {3.0: 2, 4.5: 4}, group="Low field", file="low.csv")
    world.build()
    rows = summary(world, '"group", ewes, thin, on_target, over, mean_score', "true")
    assert rows == [
        ("ALL", 10, 3, 3, 4, 3.3),  # (3 × 2 + 3 × 3 + 4 × 4.5) / 10
        ("High field", 4, 3, 1, 0, 2.25),
        ("Low field", 6, 0, 2, 4, 4.0),
    ]


def test_shares_and_spread_are_of_the_ewes_scored(world):
    world.register("F1")
    world.tally("F1", {2.0: 2, 3.0: 4, 4.0: 2})
    world.build()
    # sum of squares about 3.0 is 4, over 7
    thin, on_target, over, sd = summary(world, "thin_share, on_target_share, over_share, sd_score")[0]
    assert (thin, on_target, over) == (0.25, 0.75, 0.0)
    assert sd == pytest.approx((4 / 7) ** 0.5)


def test_the_interval_of_a_group_is_wilsons(world):
    world.register("F1")
    world.tally("F1", {2.0: 4, 3.0: 26})
    world.build()
    low, high = summary(world, "thin_share_low, thin_share_high", "\"group\" = 'Low field'")[0]
    assert (low, high) == pytest.approx(proportion_confint(4, 30, alpha=0.10, method="wilson"))


def test_a_session_of_half_the_flock_is_surer_than_a_sample_and_of_all_of_it_sure(world):
    width = {}
    for farm, flock in (("F1", 10_000), ("F2", 60), ("F3", 30)):
        world.register(farm, ewes=flock)
        world.tally(farm, {2.0: 6, 3.0: 24}, file=f"{farm}.csv")
    world.build()
    for farm, low, high in summary(world, "farm, thin_share_low, thin_share_high"):
        width[farm] = high - low
    # the variance of a sample of 30 from 60 is 30/59 of that from an endless flock
    assert width["F2"] / width["F1"] == pytest.approx((30 / 59) ** 0.5, abs=0.02)
    assert width["F3"] == pytest.approx(0, abs=1e-12)


def test_the_share_scored_of_a_flock_that_the_register_has_as_smaller_is_all_of_it(world):
    # contract: shares are 0–1; 30 ewes were scored of the 25 that the register lags behind with
    for farm, flock in (("F1", 25), ("F2", 60), ("F3", None)):
        world.register(farm, ewes=flock)
        world.tally(farm, {2.0: 6, 3.0: 24}, file=f"{farm}.csv")
    world.build()
    assert summary(world, "scored_share, ewes, flock_ewes") == [
        (1.0, 30, 25),
        (0.5, 30, 60),
        (None, 30, None),
    ]


def test_the_mean_of_one_ewe_has_no_interval(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1"})
    world.build()
    assert summary(world, "mean_score, sd_score, mean_low, mean_high") == [(3.0, None, None, None)]


def test_the_step_is_the_finest_that_was_used(world):
    used = {"whole": [2, 3], "half": [2, 2.5], "quarter": [2, 2.5, 2.75]}
    for farm, scores in used.items():
        world.register(farm)
        world.tally(farm, dict.fromkeys(scores, 5), file=f"{farm}.csv")
    world.build()
    steps = {farm: summary(world, "step", ALL_OF.format(farm)) for farm in used}
    assert steps == {"whole": [1], "half": [0.5], "quarter": [0.25]}


def test_a_practices_band_replaces_the_default_and_a_farms_own_replaces_both(world):
    world.choose(
        bands={("lowland", "pre-tupping"): Band(2.0, 2.5, 3.0)},
        farm_bands={("F2", "pre-tupping"): Band(1.5, 2.0, 2.5)},
    )
    for farm in ("F1", "F2"):
        world.register(farm)
        world.tally(farm, {1.5: 1, 2.0: 1, 2.5: 1, 3.0: 1, 3.5: 1}, file=f"{farm}.csv")
    world.build()
    assert summary(world, "farm, target_low, target, target_high, thin, over") == [
        ("F1", 2.0, 2.5, 3.0, 1, 1),
        ("F2", 1.5, 2.0, 2.5, 0, 2),
    ]


def test_the_line_for_tupping_is_known_of_a_farm_never_scored(world):
    world.choose(
        bands={("lowland", "tupping"): Band(2.5, 3.0, 3.5)},
        farm_bands={("F2", "tupping"): Band(2.75, 3.0, 3.5)},
    )
    for farm, system in (("F1", "lowland"), ("F2", "lowland"), ("F3", "hill")):
        world.register(farm, system=system)
    world.build()
    # the practice's own, the farm's own, and the contract's for the hill
    assert world.table("farm_season", "farm, tupping_low") == [("F1", 2.5), ("F2", 2.75), ("F3", 2.5)]


def test_scorers_are_named_once_and_in_order(world):
    world.register("F1")
    names = ("Siân", "Ada", "Siân", None)
    world.scores("F1", *({"ewe": str(n), "scorer": name} for n, name in enumerate(names)))
    world.build()
    assert summary(world, "scorers") == ["Ada, Siân"]


def test_a_score_that_nobody_has_is_no_row_of_the_distribution(world):
    world.register("F1")
    world.tally("F1", {2.0: 0, 3.0: 5})
    world.build()
    assert world.table("score_distribution", "scored_on, score, ewes") == [(date(2026, 8, 15), 3.0, 5)]
