-- One row is one identified ewe who has several lines in one session.
select farm, scored_on, ewe
from score_line
where ewe is not null and not is_second_score
group by farm, scored_on, ewe
having count(*) > 1
