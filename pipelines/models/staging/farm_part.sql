-- One row is one farm to build anew and the first day of it that is: the day after the end of a season, which lasts
-- until 160 days after the rams went in (see session.sql), so that none is cut in two. The season of what changed is
-- built, and that of the latest session before tupping, which may no longer be the latest; what lies before cannot
-- have changed. The year 1 stands for all of a farm: where more than its sessions changed, and where its seasons are not
-- numbered in the order of their tuppings.
with numbered as (
    select
        farm, season, rams_in,
        max(season) over (
            partition by farm order by rams_in, season rows between unbounded preceding and 1 preceding
        ) as highest_before
    from register_line
    where place = 1 and rams_in is not null
),

latest as (
    select farm, max(scored_on) as scored_on from marts.readiness
    where farm in (select farm from affected_farm)
    group by farm
),

sure as (
    select f.farm, case when latest.scored_on < f.since then latest.scored_on else f.since end as since
    from affected_farm as f
    left join latest on latest.farm = f.farm
    where f.since is not null
        and f.farm not in (select farm from numbered where season <= highest_before)
)

select f.farm, coalesce(max(n.rams_in + 161), cast('0001-01-01' as date)) as first_day
from affected_farm as f
left join sure on sure.farm = f.farm
left join numbered as n on n.farm = sure.farm and n.rams_in + 161 <= sure.since
group by f.farm
