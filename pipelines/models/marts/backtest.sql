-- One row is one session's share ready, predicted from the session before it and what was known that day, by one
-- method, and what was then recorded.
select
    farm, season, scored_on, predicted_on, cast(method as varchar) as method, cast(days as integer) as days,
    cast(ewes as integer) as ewes, cast(recorded_ewes as integer) as recorded_ewes,
    expected, low, high, observed, crps, place, held,
    grazing_named
from backtest_figure
