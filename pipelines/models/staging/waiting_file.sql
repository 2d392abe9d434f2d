-- One row is one file with scores of one session that is held back, and the first of its lines there.
select
    farm, scored_on, held_back, weaned_on, rams_in, season, registered, file_id, file, min(line) as line
from waiting_line
group by farm, scored_on, held_back, weaned_on, rams_in, season, registered, file_id, file
