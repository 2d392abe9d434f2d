-- One row is one identified ewe in one session, with the number of sessions running, this one included, in which
-- she was thin for the stage. Sessions that she was not scored in are passed over.
with judged as (
    select
        e.farm, e.ewe, e.scored_on, case when e.score < c.target_low then 1 else 0 end as is_thin
    from ewe_score as e
    inner join session_count as c on c.farm = e.farm and c.scored_on = e.scored_on and c."group" = 'ALL'
),

run as (
    select
        judged.*,
        -- a run begins anew after each session in which she was not thin
        sum(1 - is_thin) over (partition by farm, ewe order by scored_on rows unbounded preceding) as run_number
    from judged
)

select
    farm, ewe, scored_on,
    cast(sum(is_thin) over (
        partition by farm, ewe, run_number order by scored_on rows unbounded preceding
    ) as integer) as thin_sessions
from run
