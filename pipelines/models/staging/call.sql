-- One row is one farm in one season that changed, with all that decides how urgently it needs attention. A farm whose
-- scores or register line wait is there too, in a season in which the register does not have it.
with scored as (
    select farm, season, max(scored_on) as scored_on
    from marts.session_summary where "group" = 'ALL'
    group by farm, season
),

reason as (
    select farm, season, name, subject || ' ' || why as held_why
    from marts.held_back
    where place = 1
),

latest_waiting as (
    select farm, season, scored_on, sum(ewes) as ewes
    from (
        select *, max(scored_on) over (partition by farm, season) as last_on from marts.held_back_score
    ) as followed
    where scored_on = last_on
    group by farm, season, scored_on
),

known as (
    select farm, name, system, discussion_group, region
    from (
        select *, row_number() over (partition by farm order by season desc) as place from marts.farm_season
    ) as named
    where place = 1
),

listed as (
    select farm, season, name, system, discussion_group, region, ewes as flock_ewes, rams_in, ready_by
    from marts.farm_season
    union all
    select
        reason.farm, reason.season, coalesce(reason.name, known.name, reason.farm) as name,
        known.system, known.discussion_group, known.region, null as flock_ewes, null as rams_in, null as ready_by
    from reason
    left join known on known.farm = reason.farm
    left join marts.farm_season as f on f.farm = reason.farm and f.season = reason.season
    where f.farm is null
),

earlier as (
    select
        f.farm, f.season,
        max(scored.scored_on) over (
            partition by f.farm order by f.season rows between unbounded preceding and 1 preceding
        ) as last_scored_on
    from listed as f
    left join scored on scored.farm = f.farm and scored.season = f.season
)

select
    f.farm, f.name, f.season, f.system, f.discussion_group, f.region, f.flock_ewes, f.rams_in, f.ready_by,
    earlier.last_scored_on,
    r.scored_on, r.stage, r.ewes, r.ready_share, r.ready_share_low, r.ready_share_high, r.days_needed_median,
    r.days_left, r.still_thin_share, r.still_thin_low, r.still_thin_high, r.why_not,
    s.thin, s.thin_share, s.thin_share_low, s.thin_share_high,
    standing.adjusted_thin_share, standing.chance_too_many_thin,
    reason.held_why, waiting.scored_on as waiting_on, waiting.ewes as waiting_ewes
from listed as f
inner join earlier on earlier.farm = f.farm and earlier.season = f.season
left join reason on reason.farm = f.farm and reason.season = f.season
left join latest_waiting as waiting on waiting.farm = f.farm and waiting.season = f.season
left join marts.readiness as r on r.farm = f.farm and r.season = f.season and r."group" = 'ALL'
left join marts.session_summary as s
    on s.farm = r.farm and s.season = r.season and s.scored_on = r.scored_on and s."group" = 'ALL'
left join marts.farm_standing as standing
    on standing.farm = r.farm and standing.season = r.season and standing.stage = r.stage
    -- a session at tupping after the rams went in stands for its stage, but is not the one listed
    and standing.scored_on = r.scored_on
where f.season in (select season from affected_season)
