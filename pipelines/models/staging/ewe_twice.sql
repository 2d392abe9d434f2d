-- One row is one identified ewe who has several lines in one session.
select session.farm, session.scored_on, twice.ewe
from (
    select session_id, ewe
    from ewe_line
    group by session_id, ewe
    having count(*) > 1
) as twice
inner join session on session.session_id = twice.session_id
