-- One row is one identified ewe below or above the tupping band in her farm's latest session before tupping.
select
    e.farm, e."group", e.ewe, e.score, c.target_low, c.days_needed, cast(c.days_left as integer) as days_left,
    c.chance_ready, cast(c.action as varchar) as action,
    e.season, e.scored_on, c.grazing, c.chance_on_best, c.rescore_by, cast(c.reason as varchar) as reason,
    cast(c.thin_sessions as integer) as thin_sessions, c.system, e.age, e.teeth, e.lame, e.udder, e.breed,
    c.thin_sessions >= 3 as long_thin
from latest_ewe as e
inner join thin_run on thin_run.farm = e.farm and thin_run.ewe = e.ewe
inner join ewe_decision as c
    on c.farm = e.farm and c.scored_on = e.scored_on and c."group" = e."group" and c.score = e.score
    and c.thin_sessions = thin_run.thin_sessions
