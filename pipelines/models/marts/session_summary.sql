-- One row is one group in one session, and group ALL for the whole session.
select
    c.farm, c.season, c.scored_on, c.stage, c."group", c.ewes, c.mean_score,
    c.thin,
    c.ewes - c.thin - c.over as on_target,
    c.over,
    c.thin / cast(c.ewes as double) as thin_share, c.thin_share_low, c.thin_share_high,
    (c.ewes - c.thin - c.over) / cast(c.ewes as double) as on_target_share,
    c.target_low, c.target_high,
    c.system, cast(c.flock_ewes as integer) as flock_ewes,
    -- how many ewes a single group holds is not registered; a register may lag behind
    case
        when c."group" = 'ALL' and c.ewes > c.flock_ewes then 1e0
        when c."group" = 'ALL' then c.ewes / cast(c.flock_ewes as double)
    end as scored_share,
    c.sd_score, c.step, s.scorers, c.target, c.mean_low, c.mean_high,
    c.on_target_low, c.on_target_high,
    c.over / cast(c.ewes as double) as over_share, c.over_low, c.over_high
from session_figure as c
left join group_scorer as s on s.farm = c.farm and s.scored_on = c.scored_on and s."group" = c."group"
