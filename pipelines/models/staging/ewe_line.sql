-- One row is one line of an identified ewe in a session that counts, with little else: what runs over every ewe of
-- every session works on this.
select session.session_id, l.ewe, l."group", l.score, l.file_id, l.line
from score_line as l
inner join session
    on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
where l.farm in (select farm from farm_at_hand) and l.ewe is not null and not l.is_second_score
