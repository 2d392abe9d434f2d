-- One row is one farm on one day of scoring that is held back, with the first of its lines.
select farm, scored_on, held_back, weaned_on, rams_in, season, registered, file, line
from (
    select *, row_number() over (partition by farm, scored_on order by file, line) as place from waiting_line
) as placed
where place = 1
