-- One row is one score of one group in one session.
select farm, season, scored_on, stage, "group", score, ewes
from session_cell
