-- One row is one farm in one season on one class of grazing that ewes gain on ('not stated': groups that
-- nothing was said of, taken for ordinary): days to gain one score as published
-- or set, as seen on the farm up to its latest session before tupping, and as learned from both, of ewes that were
-- not held; and the share of its right ewes that go on gaining, as learned of the practice and of the farm.
select
    farm, season, cast(grazing as varchar) as grazing, prior_median, prior_low, prior_high,
    observed_per_30_days, observed_low, observed_high, learned_median, learned_low, learned_high,
    cast(intervals as integer) as intervals, cast(intervals_this_season as integer) as intervals_this_season,
    scored_on, units_mean, units_sd,
    going_on, going_on_sd, practice_going_on
from farm_growth_figure
