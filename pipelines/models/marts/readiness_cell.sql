-- One row is one score of one group of a farm's latest session before tupping, with all that its readiness rests on
-- and the chances of a ewe with that score.
select
    farm, season, "group", score, cast(ewes as integer) as ewes, scored_on, stage, system,
    cast(flock_ewes as integer) as flock_ewes, weaned_on, rams_in, ready_by, grazing,
    target_low, target_high, thin_below, step, cast(is_latest as integer) as is_latest,
    cast(stated as integer) as stated, units_mean, units_sd, cast(intervals as integer) as intervals,
    offset_mean, offset_slope, offset_sd,
    early_pace, late_pace, early_variance, both_covariance, late_variance,
    unwritten_offset, early_fall, late_fall, unwritten_offset_sd,
    going_on, going_on_sd,
    days_needed, chance_ready, chance_on_best, chance_still_thin
from cell_figure
