-- One row is one line with a second score of a ewe, given by another scorer to see how well the two agree.
select farm, scored_on, ewe, scorer, score, file_id, file, line
from score_line
where is_second_score
