-- One row is one group between two successive sessions of a season, with the rate of gain seen there (scores a day).
select
    farm, season, scored_on, "group", next_on, cast(days as integer) as days, cast(grazing as varchar) as grazing,
    cast(ewes as integer) as ewes, cast(observed_by as varchar) as observed_by, rate, rate_sd, cast(stated as boolean) as stated
from growth_figure
