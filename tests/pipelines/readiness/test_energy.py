"""Energy against printed tables and numbers worked by hand; what is from memory says so."""

import pytest

from pipelines.readiness.energy import (
    Feed,
    afrc,
    gain_ratio,
    ipcc,
    kg_per_score,
    maintenance_ratio,
    needs,
    nrc,
    ration,
    usual_feed,
)

MCAL = 4.184


@pytest.mark.parametrize(
    ("weight", "maintenance", "flushing"),
    # NRC 1985, 6th ed., Table 1, ME in Mcal a day: maintenance (gaining 10 g) and flushing (100 g)
    [(50, 2.0, 3.4), (60, 2.2, 3.6), (70, 2.4, 3.8), (80, 2.6, 4.0), (90, 2.8, 4.2)],
)
def test_nrc_gives_its_table_back(weight, maintenance, flushing):
    assert nrc(weight, 0.010).total == pytest.approx(maintenance * MCAL, abs=0.005)
    assert nrc(weight, 0.100).total == pytest.approx(flushing * MCAL, abs=0.005)


def test_the_ipcc_ratio_worked_by_hand_at_70_percent_digestibility():
    # 1.123 − 0.28644 + 0.055174 − 0.362857 = 0.528877
    assert maintenance_ratio(70) == pytest.approx(0.528877, abs=1e-6)
    # from memory: 1.164 − 0.3612 + 0.064092 − 0.534286 = 0.332606
    assert gain_ratio(70) == pytest.approx(0.332606, abs=1e-6)


def test_ipcc_maintenance_of_a_70_kg_ewe_worked_by_hand():
    # 70^0.75 = 24.2006; 0.217 × 24.2006 + 0.0107 × 70 = 5.25153 + 0.749 = 6.00053 MJ net.
    # 10.5 MJ ME of 18.45 at 0.82 is 69.403 % digestible:
    # REM = 1.123 − 0.283997 + 0.054237 − 0.365979 = 0.527261
    # 0.82 × 6.00053 / 0.527261 = 9.332
    assert ipcc(70, 0).total == pytest.approx(9.332, abs=0.002)


def test_afrc_agrees_with_the_figures_in_the_reference_which_are_from_memory():
    assert afrc(70, 0.125).maintenance == pytest.approx(8.59, abs=0.01)
    assert afrc(70, 0.125).total == pytest.approx(15.34, abs=0.01)
    # an AHDB-based figure, quoted: 15.4 MJ a day for 7 kg in 8 weeks
    assert afrc(70, 7 / 56).total == pytest.approx(15.4, abs=0.1)


def test_a_dry_70_kg_ewe_lies_within_the_range_of_the_sources():
    for going in ("flat", "hill"):
        for need in needs(70, 0, going):
            assert 8.59 <= need.total <= 11.8, need


def test_what_is_from_memory_is_marked():
    assert all(need.from_memory for need in needs(70, 0.1))


def test_kg_per_score_by_every_published_system():
    found = kg_per_score(70, 3.0)
    assert (found["FAS"].low, found["FAS"].high) == pytest.approx((7.0, 9.1))
    assert (found["Teagasc"].low, found["Teagasc"].high) == pytest.approx((8.4, 10.5))
    assert found["CSIRO"].low == pytest.approx(10.5) and found["van Burgel, share"].low == pytest.approx(13.3)
    assert [found[name].low for name in ("van Burgel, weight", "Semakula", "Romney cross")] == [
        9.2,
        6.2,
        7.74,
    ]


def test_a_thin_ewe_weighs_less_than_her_weight_at_score_three():
    # CSIRO, by hand: W3 − 0.15 W3 = 59.5 at score 2, so W3 = 70 and one score is 10.5 kg
    assert kg_per_score(59.5, 2.0)["CSIRO"].low == pytest.approx(10.5)


def test_a_ration_worked_by_hand():
    found = ration(40, 70, 2.5, 3.0, 56)
    # least: 6.2 kg a score, 3.1 kg in 56 days;
    # 0.05536 × 23.85 / (0.78 × 10.5/18.8 + 0.006) = 2.9895 on 8.5943
    assert found.gain_per_day.low == pytest.approx(0.05536, abs=1e-5)
    assert found.energy.low == pytest.approx(11.584, abs=0.005)
    assert found.energy_total.low == pytest.approx(11.584 * 40 * 56, rel=1e-3)
    assert found.dry_matter.low == pytest.approx(11.584 / 10.5, rel=1e-3)
    # the gain alone from nuts of 12.5 MJ per kg DM, 87 % dry
    assert found.supplement.low == pytest.approx(2.9895 * 40 * 56 / (12.5 * 0.87), rel=1e-3)
    # 900 kg DM on a hectare, 70 % eaten
    assert found.hectares.low == pytest.approx(11.584 * 40 * 56 / 10.5 / 630, rel=1e-3)


def test_ewes_on_target_need_maintenance_only():
    found = ration(10, 70, 3.5, 3.0, 30)
    assert found.supplement.high == 0 and found.energy.low == pytest.approx(8.59, abs=0.01)


def test_growing_grass_needs_fewer_hectares():
    usual = usual_feed()
    growing = Feed(
        usual.pasture_mj, usual.supplement_mj, usual.supplement_dry, usual.cover, 30.0, usual.eaten
    )
    still, grown = (ration(40, 70, 2.5, 3.0, 56, feed=feed) for feed in (usual, growing))
    # (900 + 30 × 56) / 900 = 2.8667
    assert still.hectares.low / grown.hectares.low == pytest.approx(2.8667, abs=1e-3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"days": 0}, "no days are left"),
        ({"ewes": 0}, "at least one ewe"),
        ({"weight": 7}, "between 20 and 150"),
    ],
)
def test_a_ration_that_cannot_be_worked_out_says_why(change, words):
    with pytest.raises(ValueError, match=words):
        ration(**{"ewes": 5, "weight": 70, "score": 2.5, "target": 3.0, "days": 40, **change})
