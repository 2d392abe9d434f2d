-- One row is one score of one group of a farm's latest session before tupping, with all that decides its readiness.
select
    c.farm, c.season, c.scored_on, t.is_latest, c.stage, c."group", c.score, c.ewes,
    session.system, session.flock_ewes, session.weaned_on, session.rams_in, session.ready_by,
    coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') as grazing,
    coalesce(farm_band.low, band.low) as target_low,
    coalesce(farm_band.high, band.high) as target_high,
    session_count.target_low as thin_below,
    session_count.step,
    case when coalesce(farm_grazing.grazing, group_grazing.grazing) is null then 0 else 1 end as stated,
    case
        when coalesce(farm_grazing.grazing, group_grazing.grazing) is null then own.unwritten_intervals
        else own.intervals
    end as intervals,
    own.units_mean, own.units_sd, own.offset_mean, own.offset_slope, own.offset_sd,
    own.early_pace, own.late_pace, own.early_variance, own.both_covariance, own.late_variance,
    own.unwritten_offset, own.early_fall, own.late_fall, own.unwritten_offset_sd,
    own.going_on, own.going_on_sd
from session_cell as c
inner join tupping_session as t on t.farm = c.farm and t.season = c.season and t.scored_on = c.scored_on
inner join session on session.farm = c.farm and session.scored_on = c.scored_on
inner join band on band.system = session.system and band.stage = 'tupping'
inner join session_count
    on session_count.farm = c.farm and session_count.scored_on = c.scored_on and session_count."group" = 'ALL'
left join farm_band on farm_band.farm = c.farm and farm_band.stage = 'tupping'
left join farm_grazing on farm_grazing.farm = c.farm and farm_grazing."group" = c."group"
left join group_grazing
    on group_grazing.farm = c.farm and group_grazing.scored_on = c.scored_on and group_grazing."group" = c."group"
inner join farm_learned as own on own.farm = c.farm and own.season = c.season
