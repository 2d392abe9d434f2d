-- One row is one identified ewe in her farm's latest session before tupping, with the number of sessions running, that
-- one included, in which she was thin for the stage. Sessions that she was not scored in are passed over.
with judged as (
    select
        session.farm, e.ewe, session.scored_on, case when e.score < c.target_low then 1 else 0 end as is_thin
    from ewe_score as e
    inner join session on session.session_id = e.session_id
    inner join latest_ewe as latest
        on latest.farm = session.farm and latest.ewe = e.ewe and latest.scored_on >= session.scored_on
        and latest.is_thin = 1
    inner join session_count as c
        on c.farm = session.farm and c.scored_on = session.scored_on and c."group" = 'ALL'
    union all
    select before.farm, before.ewe, before.scored_on, case when before.score < before.target_low then 1 else 0 end
    from ewe_before as before
    inner join latest_ewe as latest
        on latest.farm = before.farm and latest.ewe = before.ewe and latest.is_thin = 1
    where before.target_low is not null
),

fit as (
    select farm, ewe, max(scored_on) as last_on
    from judged
    where is_thin = 0
    group by farm, ewe
),

run as (
    select judged.farm, judged.ewe, count(*) as thin_sessions
    from judged
    left join fit on fit.farm = judged.farm and fit.ewe = judged.ewe
    where fit.last_on is null or judged.scored_on > fit.last_on
    group by judged.farm, judged.ewe
)

select latest.farm, latest.ewe, cast(coalesce(run.thin_sessions, 0) as integer) as thin_sessions
from latest_ewe as latest
left join run on run.farm = latest.farm and run.ewe = latest.ewe
where latest.farm in (select farm from farm_at_hand)
