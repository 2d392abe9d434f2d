-- One row is one score of one group in one session: the histogram that all but the ewe lists follow from.
with counted as (
    select session_id, "group", score, 1 as ewes from ewe_score
    union all
    select session.session_id, l."group", l.score, l.ewes
    from score_line as l
    inner join session
        on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
    where l.farm in (select farm from farm_at_hand) and l.ewe is null and not l.is_second_score
),

cell as (
    select session_id, "group", score, cast(sum(ewes) as integer) as ewes
    from counted
    group by session_id, "group", score
    having sum(ewes) > 0
)

select session.farm, session.season, session.scored_on, session.stage, cell."group", cell.score, cell.ewes
from cell
inner join session on session.session_id = cell.session_id
