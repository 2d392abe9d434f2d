-- One row is one identified ewe whose scores are more than 1.5 apart in all her time: the only ones worth following
-- from session to session for a jump.
select farm, ewe
from ewe_score
group by farm, ewe
having max(score) - min(score) > 1.5e0
