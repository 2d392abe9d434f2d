-- One row is one session's share ready, predicted from one before it in the season and what was known that day, by
-- one method, and what was then recorded; `nearest` where no other session lies between the two.
select
    farm, season, scored_on, predicted_on, cast(method as varchar) as method, cast(days as integer) as days,
    cast(ewes as integer) as ewes, cast(recorded_ewes as integer) as recorded_ewes,
    expected, low, high, observed, crps, place, held,
    grazing_named,
    cast(stage as varchar) as stage, cast(next_stage as varchar) as next_stage, cast(nearest as boolean) as nearest
from backtest_figure
