-- One row is one identified ewe whose scores are more than 1.5 apart in all the time that is looked at: the only ones
-- worth following from session to session for a jump.
select farm, ewe
from (
    select session.farm, e.ewe, e.score
    from ewe_score as e
    inner join session on session.session_id = e.session_id
    union all
    select farm, ewe, score from ewe_before
    where days_before <= 31 and farm in (select farm from farm_at_hand)
) as seen
group by farm, ewe
having max(score) - min(score) > 1.5e0
