-- One row is one score of one group in one session: the histogram that all but the ewe lists follow from.
with counted as (
    select farm, scored_on, "group", score, 1 as ewes from ewe_score
    union all
    select farm, scored_on, "group", score, ewes from score_line where ewe is null and not is_second_score
)

select
    counted.farm,
    session.season,
    counted.scored_on,
    session.stage,
    counted."group",
    counted.score,
    cast(sum(counted.ewes) as integer) as ewes
from counted
inner join session
    on session.farm = counted.farm and session.scored_on = counted.scored_on and session.held_back is null
group by counted.farm, session.season, counted.scored_on, session.stage, counted."group", counted.score
having sum(counted.ewes) > 0
