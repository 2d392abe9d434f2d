-- One row is one score outside the tupping band, in one group of a farm's latest session before tupping, with one
-- number of sessions running in which a ewe was thin: ewes alike in all that their action depends on.
select distinct
    c.farm, c.scored_on, c."group", c.score, thin_run.thin_sessions,
    c.system, c.grazing, c.ready_by, c.target_low, c.target_high, c.days_needed, c.days_left,
    c.chance_ready, c.chance_on_best
from latest_ewe as e
inner join cell_figure as c
    on c.farm = e.farm and c.scored_on = e.scored_on and c."group" = e."group" and c.score = e.score
inner join thin_run on thin_run.farm = e.farm and thin_run.ewe = e.ewe
where c.is_latest = 1 and c.chance_ready is not null and (c.score < c.target_low or c.score > c.target_high)
