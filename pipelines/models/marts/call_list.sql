-- One row is one farm in one season, with how urgently it needs attention and why.
select
    farm, name, season, system, discussion_group, region, cast(urgency as integer) as urgency,
    cast(status as varchar) as status, cast(reason as varchar) as reason, scored_on, stage,
    cast(ewes as integer) as ewes, cast(flock_ewes as integer) as flock_ewes, cast(thin as integer) as thin,
    thin_share, thin_share_low, thin_share_high, adjusted_thin_share, chance_too_many_thin,
    ready_share, ready_share_low, ready_share_high, days_needed_median,
    cast(days_left as integer) as days_left, rams_in, ready_by,
    still_thin_share, still_thin_low, still_thin_high
from call_figure
