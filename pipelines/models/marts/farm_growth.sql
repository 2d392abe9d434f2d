-- One row is one farm in one season on one class of grazing that ewes gain on ('not stated': groups that
-- nothing was said of, taken for ordinary): days to gain one score as published
-- or set, as seen on the farm up to its latest session before tupping, and as learned from both.
select
    farm, season, cast(grazing as varchar) as grazing, prior_median, prior_low, prior_high,
    observed_per_30_days, observed_low, observed_high, learned_median, learned_low, learned_high,
    cast(intervals as integer) as intervals, cast(intervals_this_season as integer) as intervals_this_season,
    scored_on, units_mean, units_sd
from farm_growth_figure
