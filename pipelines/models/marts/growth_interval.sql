-- One row is one group between two successive sessions of a season, with the rate of gain seen there (scores a day), and
-- what it says of how far right ewes are held: mean and spread when it began (`start_true_sd`: of condition), and the
-- share over the tupping band before and after; `early_days`: those before the time of building up for the rams.
select
    farm, season, scored_on, "group", next_on, cast(days as integer) as days, cast(grazing as varchar) as grazing,
    cast(ewes as integer) as ewes, cast(observed_by as varchar) as observed_by, rate, rate_sd, cast(stated as boolean) as stated,
    start_mean, start_sd, start_true_sd, right_at, over_before, over_after, edge_before, edge_after,
    cast(together as integer) as together, cast(early_days as integer) as early_days
from growth_figure
