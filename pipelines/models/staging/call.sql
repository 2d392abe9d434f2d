-- One row is one farm in one season that changed, with all that decides how urgently it needs attention.
with scored as (
    select farm, season, max(scored_on) as scored_on
    from marts.session_summary where "group" = 'ALL'
    group by farm, season
),

earlier as (
    select
        f.farm, f.season,
        max(scored.scored_on) over (
            partition by f.farm order by f.season rows between unbounded preceding and 1 preceding
        ) as last_scored_on
    from marts.farm_season as f
    left join scored on scored.farm = f.farm and scored.season = f.season
)

select
    f.farm, f.name, f.season, f.system, f.discussion_group, f.region, f.ewes as flock_ewes, f.rams_in, f.ready_by,
    earlier.last_scored_on,
    r.scored_on, r.stage, r.ewes, r.ready_share, r.ready_share_low, r.ready_share_high, r.days_needed_median,
    r.days_left, r.still_thin_share, r.still_thin_low, r.still_thin_high, r.why_not,
    s.thin, s.thin_share, s.thin_share_low, s.thin_share_high,
    standing.adjusted_thin_share, standing.chance_too_many_thin
from marts.farm_season as f
inner join earlier on earlier.farm = f.farm and earlier.season = f.season
left join marts.readiness as r on r.farm = f.farm and r.season = f.season and r."group" = 'ALL'
left join marts.session_summary as s
    on s.farm = r.farm and s.season = r.season and s.scored_on = r.scored_on and s."group" = 'ALL'
left join marts.farm_standing as standing
    on standing.farm = r.farm and standing.season = r.season and standing.stage = r.stage
    -- a session at tupping after the rams went in stands for its stage, but is not the one listed
    and standing.scored_on = r.scored_on
where f.season in (select season from affected_season)
