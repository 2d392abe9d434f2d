"""What is learned of a farm's rate of gain: observed rates by hand, learned ones by what must hold."""

from datetime import date

import pytest

from pipelines.settings import DaysPerScore

JULY, AUGUST = date(2026, 7, 10), date(2026, 8, 15)  # 36 days apart


def ewes(world, before, after, file, farm="F1", grazing="ordinary", days=(JULY, AUGUST), **common):
    for day, scores in zip(days, (before, after), strict=True):
        rows = [{"ewe": f"{n}", "score": score} for n, score in enumerate(scores)]
        world.scores(farm, *rows, scored_on=day, grazing=grazing, file=f"{file}-{day}.csv", **common)


def growth(world, columns, where="grazing = 'ordinary' and season = 2026"):
    return world.table("farm_growth", columns, where)


def test_a_farm_without_intervals_keeps_the_published_range(world):
    world.register("F1")
    world.tally("F1", {2.5: 30}, grazing="best")
    world.build()
    columns = "learned_median, learned_low, learned_high, observed_per_30_days, intervals"
    rows = growth(world, columns, "grazing <> 'not stated'")
    # contract.md: best 52 (40–70), ordinary 75 (50–120)
    expected = {(52.0, 40.0, 70.0), (75.0, 50.0, 120.0)}
    assert {tuple(round(part, 6) for part in row[:3]) for row in rows} == expected
    assert {row[3:] for row in rows} == {(None, 0)}
    assert world.table("readiness", "distinct gain_source") == ["published range"]


def test_ewes_in_both_sessions_are_compared_with_themselves(world):
    world.register("F1")
    # the ten that stay gain 0.25 each; the thin five that were sold would make the mean rise by far more
    ewes(world, [2.5] * 10 + [1.5] * 5, [2.75] * 10, "a")
    world.build()
    (row,) = world.table("growth_interval", "days, ewes, observed_by, rate")
    assert row == (36, 10, "ewe by ewe", pytest.approx(0.25 / 36))
    # far below the target of 3.5: next to nothing was forgone by holding, whoever was held
    assert growth(world, "observed_per_30_days, intervals") == [(pytest.approx(0.25 / 36 * 30, rel=1e-3), 1)]
    assert world.table("readiness", "distinct gain_source") == ["this farm"]


def test_without_tags_the_means_of_the_group_are_compared(world):
    world.register("F1")
    for day, score in ((JULY, 2.5), (AUGUST, 3.0)):
        world.tally("F1", {score: 40}, scored_on=day, grazing="best", file=f"{day}.csv")
    world.build()
    assert world.table("growth_interval", "observed_by, ewes, rate") == [
        ("group means", 40, pytest.approx(0.5 / 36))
    ]


SEEN = "start_mean, start_sd, start_true_sd, right_at, over_before, over_after, edge_before, edge_after"


@pytest.mark.parametrize("tagged", [True, False])
def test_what_an_interval_shows_of_holding_worked_by_hand(world, tagged):
    world.register("F1")
    before, after = [3.0] * 6 + [4.5] * 4, [3.5] * 5 + [4.25] * 2 + [4.5] * 3
    if tagged:
        ewes(world, [*before, 5.0], after, "a")  # the eleventh was sold, and counts in neither
    else:
        for day, scores in ((JULY, before), (AUGUST, after)):
            counts = {score: scores.count(score) for score in scores}
            world.tally("F1", counts, scored_on=day, grazing="ordinary", file=f"{day}.csv")
    world.build()
    (row,) = world.table("growth_interval", f"{SEEN}, together")
    # mean 36/10; squares about it 6 × 0.36 + 4 × 0.81 = 5.4 of 9, of which the scorer's 0.2074² and the
    # step's 0.5²/12 are no ewe's. Lowland: right at 3.5, over above 4: from 4.25 in halves, 4.125 in quarters
    spread = 5.4 / 9
    hers = spread - 0.2074**2 - 0.25 / 12
    wanted = (3.6, spread**0.5, hers**0.5, 3.5, 0.4, 0.5, 4.25, 4.125, 1)
    assert row == pytest.approx(wanted, abs=2e-4)


@pytest.mark.parametrize("grazing", ["holding", "hard"])
def test_grazing_without_gain_teaches_nothing_of_gain(world, grazing):
    world.register("F1")
    ewes(world, [2.5] * 10, [2.5] * 10, "a", grazing=grazing)
    world.build()
    assert world.table("growth_interval") == []


def test_what_was_said_nothing_of_teaches_only_of_groups_said_nothing_of(world):
    world.register("F1")
    ewes(world, [2.5] * 40, [2.5] * 40, "a", grazing=None)
    world.build()
    learned = dict(growth(world, "grazing, round(learned_median, 6)", "true"))
    assert learned["best"] == 52 and learned["ordinary"] == 75
    assert growth(world, "intervals", "grazing = 'not stated'") == [1]


def test_what_is_learned_lies_between_the_published_rate_and_the_observed(world):
    world.register("F1")
    ewes(world, [2.0] * 60, [2.25] * 60, "a")  # 144 days a score
    world.build()
    ((learned, low, high),) = growth(world, "learned_median, learned_low, learned_high")
    assert 75 < learned < 144 and high / low < 120 / 50


def test_a_farm_that_gained_more_is_learned_to_be_faster(world):
    for farm, before in (("F1", 2.25), ("F2", 2.5)):  # F1 gained a quarter, F2 nothing
        world.register(farm)
        ewes(world, [before] * 60, [2.5] * 60, farm, farm=farm)
    world.build()
    first, second = growth(world, "learned_median")
    assert first < second


def test_what_came_later_is_not_known_earlier(world):
    for season in (2025, 2026):
        world.register("F1", season=season, weaned_on=date(season, 7, 1), rams_in=date(season, 10, 10))
        days = tuple(day.replace(year=season) for day in (JULY, AUGUST))
        ewes(world, [2.5] * 20, [2.75] * 20, str(season), days=days)
    world.build()
    assert growth(world, "season, intervals, intervals_this_season", "grazing = 'ordinary'") == [
        (2025, 1, 1), (2026, 2, 1)
    ]  # fmt: skip


def test_days_per_score_the_adviser_set_are_the_prior(world):
    world.choose(gain={"ordinary": DaysPerScore(60, 45, 90)})
    world.register("F1")
    world.tally("F1", {2.5: 30})
    world.build()
    assert growth(world, "prior_median, prior_low, prior_high") == [pytest.approx((60, 45, 90))]


def test_a_lower_cap_on_loss_leaves_more_fat_ewes_over(world):
    def ready(**chosen):
        other = type(world)()
        other.choose(**chosen)
        other.register("F1")
        other.tally("F1", {4.5: 40, 4.0: 40}, grazing="hard")
        other.build()
        return other.table("readiness", "ready_share", "\"group\" = 'ALL'")[0]

    assert ready(days_per_score_lost=300) < ready() < ready(days_per_score_lost=40)


def test_a_surer_scorer_leaves_the_thin_ewes_thinner(world):
    def chance(**chosen):
        other = type(world)()
        other.choose(**chosen)
        other.register("F1")
        other.tally("F1", {2.0: 5, 3.0: 60}, grazing="holding")
        other.build()
        return other.table("readiness_cell", "chance_ready", "score = 2.0")[0]

    assert chance(scorer_sd=0.05) < chance(scorer_sd=0.4)


def test_half_scored_ewes_are_ready_or_thin_or_over_and_nothing_else(world):
    world.choose(bands={})
    world.register("F1", system="upland")  # thin below 2.75, which no half score meets
    world.tally("F1", {1.5: 20, 2.0: 20, 2.5: 20})
    world.build()
    ((ready, thin),) = world.table("readiness", "ready_share, still_thin_share", "\"group\" = 'ALL'")
    assert ready + thin == pytest.approx(1, abs=0.01)  # hardly a ewe can be over 3.5 yet


def going_on(world, columns="going_on, going_on_sd, practice_going_on"):
    return growth(world, columns, "grazing = 'not stated' and season = 2026 and farm = 'F1'")


def test_before_any_two_sessions_any_share_of_right_ewes_may_go_on(world):
    world.register("F1")
    world.tally("F1", {3.5: 30})
    world.build()
    # even over 0, ¼, ½, ¾ and 1: ½ and √0.125, and half of share × (1 − share), 0.125 on the mean
    assert going_on(world) == [(0.5, pytest.approx((0.125 + 0.0625**2) ** 0.5), 0.5)]


def counted(world, farm, before, after):
    world.register(farm)
    for day, counts in zip((JULY, AUGUST), (before, after), strict=True):
        world.tally(farm, counts, scored_on=day, grazing="best", file=f"{farm}-{day}.csv")


@pytest.mark.parametrize(
    ("before", "after", "least", "most"),
    [
        ({2.5: 50, 3.5: 50}, {3.5: 100}, 0.0, 0.4),  # thin ewes gained a whole score and none went over
        ({3.0: 50, 3.5: 50}, {3.5: 40, 4.5: 60}, 0.6, 1.0),  # most went over
        ({2.0: 100}, {2.5: 100}, 0.49, 0.51),  # none could have
    ],
)
def test_how_many_went_over_tells_how_right_ewes_are_held(world, before, after, least, most):
    counted(world, "F1", before, after)
    world.build()
    ((share, doubt, _),) = going_on(world)
    assert least <= share <= most and doubt < 0.37


def test_farms_that_held_theirs_speak_for_one_that_has_not_been_seen(world):
    world.register("F1")
    world.tally("F1", {3.5: 30})
    for number in range(2, 10):
        counted(world, f"F{number}", {2.5: 50, 3.5: 50}, {3.5: 100})
    world.build()
    ((share, _, practice),) = going_on(world)
    assert share == practice < 0.3


def test_where_the_adviser_says_so_all_are_held_and_nothing_is_learned(world):
    world.choose(hold_when_right=True)
    counted(world, "F1", {3.0: 50, 3.5: 50}, {3.5: 40, 4.5: 60})
    world.build()
    assert going_on(world) == [(0.0, 0.0, 0.0)]


def test_a_mean_that_rose_less_because_ewes_were_held_does_not_make_the_grass_slow(world):
    def days(said):
        world.choose(hold_when_right=said)
        world.build()
        return growth(world, "learned_median", "grazing = 'best' and farm = 'F1'")[0]

    counted(world, "F1", {3.0: 50, 3.5: 50}, {3.0: 20, 3.5: 80})
    held, free = days(True), days(False)
    assert held < free - 2
