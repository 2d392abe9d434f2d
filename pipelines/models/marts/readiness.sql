-- One row is one group of a farm's latest session before tupping, and group ALL for the whole session.
select
    farm, season, "group", scored_on, ready_by, cast(days_left as integer) as days_left, cast(ewes as integer) as ewes,
    ready_now_share, ready_share, ready_share_low, ready_share_high,
    cast(ewes_to_gain as integer) as ewes_to_gain, cast(ewes_unlikely as integer) as ewes_unlikely, days_needed_median,
    stage, system, grazing, target_low, target_high, rams_in, cast(days_ahead as integer) as days_ahead,
    cast(thin as integer) as thin, on_best_share, on_best_low, on_best_high,
    cast(gain_source as varchar) as gain_source, cast(why_not as varchar) as why_not,
    still_thin_share, still_thin_low, still_thin_high,
    cast(grazing_named as boolean) as grazing_named
from readiness_figure
