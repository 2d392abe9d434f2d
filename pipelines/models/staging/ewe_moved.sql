-- One row is one identified ewe whose scores are more than 1.5 apart in all her time: the only ones worth following
-- from session to session for a jump.
select session.farm, e.ewe
from ewe_score as e
inner join session on session.session_id = e.session_id
group by session.farm, e.ewe
having max(e.score) - min(e.score) > 1.5e0
