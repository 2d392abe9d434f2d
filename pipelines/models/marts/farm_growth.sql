-- One row is one farm in one season on one class of grazing that ewes gain on: days to gain one score as published
-- or set, as seen on the farm up to its latest session before tupping, and as learned from both, of ewes that were
-- not held; and the share of its right ewes that go on gaining, as learned of the practice and of the farm. Of groups
-- that nothing was said of ('not stated') there are no days, as they may gain nothing: their pace is a share of the
-- ordinary rate, early (before the time of building up for the rams) and late in the season.
select
    farm, season, cast(grazing as varchar) as grazing, prior_median, prior_low, prior_high,
    observed_per_30_days, observed_low, observed_high, learned_median, learned_low, learned_high,
    cast(intervals as integer) as intervals, cast(intervals_this_season as integer) as intervals_this_season,
    scored_on, units_mean, units_sd,
    going_on, going_on_sd, practice_going_on,
    early_pace, early_pace_low, early_pace_high, late_pace, late_pace_low, late_pace_high,
    practice_early_pace, practice_late_pace
from farm_growth_figure
