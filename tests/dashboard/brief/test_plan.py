from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from io import BytesIO
from itertools import product
from math import comb, factorial
from typing import Any

from pypdf import PdfReader

from dashboard.brief.choices import Choices
from dashboard.brief.examine import examine
from dashboard.brief.feed import by_system, feed, of_one_score
from dashboard.brief.next_time import expected, next_time, precision
from dashboard.brief.plan import render
from dashboard.brief.stop import mistakes, rule_for, stop
from dashboard.brief.tables import Tables
from pipelines import reference

Make = Callable[..., Tables]
USUAL = Choices()


def words(part: Any) -> str:
    return " ".join(part.sentences).replace("\u00a0", " ")


def missed(examined: int, ewes: int, cases: int, sensitivity: float) -> float:
    """Chance of no positive, by counting samples (independent of scipy)."""
    ways = [comb(cases, hit) * comb(ewes - cases, examined - hit) for hit in range(min(cases, examined) + 1)]
    return sum(way * (1 - sensitivity) ** hit for hit, way in enumerate(ways)) / comb(ewes, examined)


def test_the_next_session_is_expected_to_be_like_the_last(tables: Make) -> None:
    known = expected(tables())
    assert (known.flock, round(known.share, 4)) == (420, round(41 / 180, 4))
    # numpy.std of the 180 scores with ddof=1
    assert round(known.spread, 3) == 0.445


def test_a_farm_never_scored_is_taken_for_a_usual_one(tables: Make) -> None:
    known = expected(tables(scored=False))
    assert (known.share, known.spread) == (0.1, 0.5)  # the thin limit; Ridler 2022, derived
    assert "none was scored here this season or last" in words(next_time(tables(scored=False), USUAL))


def test_the_number_to_score_is_said_with_its_precision(tables: Make) -> None:
    said = words(next_time(tables(), USUAL))
    # 43 and 137 hold by exact hypergeometric sums in tests/pipelines/statistics; here that they are said
    assert "of 420 ewes to know the share thin within ± 10 points" in said
    # t(14) 1.761 × 0.445 / √15 × √(1 − 15/420) = 0.199; with 14 ewes t(13) 1.771 gives 0.207
    assert "15 ewes are enough" in said


def test_the_picture_narrows_to_nothing_when_all_are_scored(tables: Make) -> None:
    points = precision(tables())
    halves = [half for _, half in points]
    assert points[-1] == (420, 0.0)
    assert halves == sorted(halves, reverse=True)


def test_a_closer_share_and_a_smaller_group_change_the_number(tables: Make) -> None:
    closer = words(next_time(tables(), Choices(within=5)))
    # scipy.stats.hypergeom(420, 96, n): 137 is the first n from which on P(|x/n - 96/420| <= .05) >= 0.9
    assert "Score 137 of 420 ewes to know the share thin within ± 5 points" in closer
    assert "of 60 ewes to know" in words(next_time(tables(), Choices(flock=60)))
    # t(49) 1.677 × 0.445 / √50 × √(1 − 50/420) = 0.0990; with 49 ewes t(48) 1.677 gives 0.1002
    assert "within ± 0.1 of a score, 50 ewes are enough" in words(next_time(tables(), Choices(mean=0.1)))


def test_the_stopping_table_never_contradicts_itself(tables: Make) -> None:
    for scored, over, under in stop(tables(), USUAL).lines:
        assert over == "–" or int(over) <= int(scored)
        assert under == "–" or over == "–" or int(under) < int(over)


def by_dynamic_programme(thin: int, flock: int, rule: Any) -> Fraction:
    """Chance of ever saying 'over', in exact fractions over every order of the ewes (no numpy)."""
    going, over = {0: Fraction(1)}, Fraction(0)
    for n in range(1, len(rule.over)):
        after: dict[int, Fraction] = {}
        for count, chance in going.items():
            for one, ways in ((1, thin - count), (0, flock - thin - (n - 1 - count))):
                if ways:
                    step = chance * Fraction(ways, flock - n + 1)
                    after[count + one] = after.get(count + one, Fraction(0)) + step
        over += sum(chance for count, chance in after.items() if count >= rule.over[n])
        going = {c: p for c, p in after.items() if rule.under[n] < c < rule.over[n]}
    return over


def test_the_errors_shown_are_those_of_every_order_of_the_ewes(tables: Make) -> None:
    lines = {line[0].split()[0]: line for line in mistakes(tables(), Choices(flock=60)).lines}
    exact = by_dynamic_programme(6, 60, rule_for(0.1, 60))
    assert lines["6"][1].replace("\u00a0", " ") == f"{float(exact) * 100:.1f} %"
    assert exact <= Fraction(5, 100)


def test_ewes_to_examine_reach_the_confidence_and_one_fewer_does_not(tables: Make) -> None:
    said = words(examine(tables(), USUAL))
    number = int(said.split("Sample ")[1].split(" of")[0])
    # 10 % of 41 is 4 ewes, rounded down
    assert missed(number, 41, 4, 0.9) <= 0.05 < missed(number - 1, 41, 4, 0.9)


def test_twelve_negatives_say_what_they_cannot_say(tables: Make) -> None:
    said = words(examine(tables(), USUAL))
    # 9 of 41 (22 %) is the smallest number of cases that 12 negatives exclude at 95 % with sensitivity 0.9
    assert missed(12, 41, 9, 0.9) <= 0.05 < missed(12, 41, 8, 0.9)
    assert "12 negatives make it unlikely (95 % confidence) that 22 % or more" in said
    assert "They do not show that it is absent" in said


def test_other_choices_give_another_sample(tables: Make) -> None:
    said = words(examine(tables(), Choices(prevalence=20, confidence=90, sensitivity=100, negatives=6)))
    number = int(said.split("Sample ")[1].split(" of")[0])
    # 20 % of 41 is 8 ewes
    assert missed(number, 41, 8, 1.0) <= 0.10 < missed(number - 1, 41, 8, 1.0)
    assert f"{missed(6, 41, 8, 1.0) * 100:.0f} % of the time they would all be negative all the same" in said
    assert "6 negatives make it unlikely (90 % confidence)" in said


def test_pools_miss_as_often_as_counted_by_hand(tables: Make) -> None:
    # 4 pools of 10 out of 41 ewes, 4 of them affected, a pool with a case found 73 times in 100: every way
    # to place 4 cases on 41 ewes, 40 of them in pools
    ways = [0.0] * 5  # by number of pools with a case
    for inside, outside in ((4, 1), (3, 1)):  # all four in pools, or one is the ewe left over
        for pools in product(range(4), repeat=inside):
            ways[len(set(pools))] += outside * placed(pools)
    total = comb(41, 4)
    expected_share = sum(count * 0.27**number for number, count in enumerate(ways)) / total
    assert f"negative {expected_share * 100:.0f} % of the time" in words(examine(tables(), USUAL))


def placed(pools: tuple[int, ...]) -> float:
    """Ways to choose the ewes for ordered cases in these pools, each set of ewes counted once."""
    ways = 1.0
    for pool in set(pools):
        ways *= comb(10, pools.count(pool)) * factorial(pools.count(pool))
    return ways / factorial(len(pools))


def test_every_cause_names_its_source_and_how_it_is_known(tables: Make) -> None:
    part = examine(tables(), USUAL)
    assert ("Maedi visna", "12 thin ewes bled") in {line[:2] for line in part.lines}
    assert {line[3].rsplit("(", 1)[1] for line in part.lines} <= {"published)", "quoted)", "common practice)"}
    assert any("vet" in caution for caution in part.cautions)


def test_no_thin_ewe_means_none_to_examine(tables: Make) -> None:
    found = tables()
    none = replace(found, readiness=found.readiness.assign(ewes_to_gain=0))
    assert examine(none, USUAL).lines == ()


def test_feed_is_a_range_over_the_published_systems(tables: Make) -> None:
    (line,) = feed(tables(groups=1), USUAL).lines
    assert (
        line[0].replace("\u00a0", " ") == "Top hill: 41 ewes at 2.11 to 2½"
    )  # (3×1.5 + 14×2 + 24×2.25) / 41
    low, high = (float(part) for part in line[1].split("–"))
    # AFRC 1993 by hand, 70 kg on a hill: (0.23 × (70/1.08)^0.75 + 0.024 × 70) / 0.6985 = 9.93 MJ a day, and
    # 6.2 kg a score (Semakula) × 0.39 score in 61 days × 23.85 / 0.4416 = 2.14 MJ for the gain
    assert low <= 9.93 + 2.14 <= high


def test_one_system_and_another_feed_narrow_the_range(tables: Make) -> None:
    one = Choices(weight=62, system="Semakula", pasture=11.0)
    (line,), (wide,) = feed(tables(groups=1), one).lines, feed(tables(groups=1), Choices(weight=62)).lines
    low, high = (float(part) for part in line[1].split("–"))
    # AFRC 1993 by hand, 62 kg on a hill at 11.0 MJ/kg: q = 0.5851, km = 0.7078, kf = 0.4624;
    # (0.23 × (62/1.08)^0.75 + 0.024 × 62) / 0.7078 = 8.88 and 6.2 × 0.39 / 61 × 23.85 / 0.4624 = 2.04
    assert low <= 8.88 + 2.04 <= high
    assert high < float(wide[1].split("–")[1])
    assert "Semakula's" in words(feed(tables(groups=1), one))


def test_totals_are_the_days_and_the_ewes_of_the_daily_need(tables: Make) -> None:
    (line,) = feed(tables(groups=1), USUAL).lines
    daily, total = (float(cell.split("–")[0].replace(",", "")) for cell in (line[1], line[3]))
    assert abs(total / (daily * 41 * 61) - 1) < 0.01  # 41 ewes, 20 Aug to 20 Oct is 61 days


def test_the_systems_are_those_printed(tables: Make) -> None:
    # NRC 1985 Table 1, 70 kg: flushing at 100 g a day 3.8 Mcal = 15.9 MJ
    assert by_system(USUAL).lines[0][2] == "15.9"
    # FAS 2024: 10–13 % of live weight; van Burgel 2011: 9.2 kg
    found = {line[0]: line[1] for line in of_one_score(USUAL).lines}
    assert (found["FAS"], found["van Burgel, weight"]) == ("7.0–9.1", "9.2")


def test_what_is_from_memory_is_marked(tables: Make) -> None:
    assert [line[3] for line in by_system(USUAL).lines if line[0] == "AFRC 1993"] == ["all its figures"]
    assert "Requirements of Ruminants (from memory)" in by_system(USUAL).sources[0]
    assert any("gradually" in caution for caution in feed(tables(), USUAL).cautions)
    assert any("copper" in caution for caution in feed(tables(), USUAL).cautions)


def test_the_cautions_of_feeding_are_the_references_own(tables: Make) -> None:
    said = feed(tables(), USUAL).cautions
    assert set(reference.cautions("feeding")) <= set(said)
    assert "ten days" not in " ".join(said)  # no source was found for a number of days


def test_grazing_as_poor_as_straw_is_said_to_hold_no_ewe(tables: Make) -> None:
    poor = feed(tables(), Choices(pasture=6.5))
    # Hybu Cig Cymru: a ewe eats 1.5 % of her weight of average hay (8.5 MJ/kg), so 70 × 0.015 × 6.5 = 6.83 MJ
    assert "1.05 kg of dry matter of it a day, 6.8 MJ" in poor.cautions[0]
    assert "She cannot gain on it" in poor.cautions[0] and "Hybu Cig Cymru" in poor.sources[0]
    better = feed(tables(), Choices(pasture=8.5))
    said = " ".join((*better.cautions, *better.sources))
    assert "gain on it" not in said and "Hybu" not in said


def test_feed_without_time_says_so_and_asks_for_none(tables: Make) -> None:
    late = feed(replace(tables(groups=1), as_of=date(2026, 10, 25)), USUAL)
    assert "has come: no feed brings these ewes to target" in words(late) and late.lines == ()


def test_the_work_sheet_stays_inside_its_margins(tables: Make, drawn: Callable[[bytes], list[Any]]) -> None:
    name = "Wester Balnahinchmore and Long Strathfel"
    boxes = drawn(render(tables(name=name, groups=14), USUAL))
    assert max(box.page for box in boxes) <= 4
    assert 48 <= min(box.left for box in boxes) <= max(box.right for box in boxes) <= 595.3 - 48


def test_the_work_sheet_can_be_read_by_machine(tables: Make) -> None:
    pages = PdfReader(BytesIO(render(tables(), USUAL))).pages
    said = " ".join(page.extract_text() for page in pages)
    for title in ("How many to score next time", "Thin ewes worth examining", "Feed for the gain"):
        assert title in said
