-- One row is one farm in one season and stage, among the farms of its system.
select
    farm, season, stage, ewes, thin_share, adjusted_thin_share, low, high, chance_too_many_thin,
    cast(rank as integer) as rank,
    system, scored_on, thin, thin_share_low, thin_share_high,
    cast(rank_low as integer) as rank_low, cast(rank_high as integer) as rank_high,
    cast(farms as integer) as farms, "limit"
from standing_figure
