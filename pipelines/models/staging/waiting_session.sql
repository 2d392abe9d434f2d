-- One row is one farm on one day of scoring that is held back, with the first of its lines.
select farm, scored_on, held_back, weaned_on, rams_in, season, registered, file, line
from (
    select
        *, row_number() over (partition by farm, scored_on order by file, line) as place
    from marts.waiting_file
    where farm in (select farm from affected_farm)
) as placed
where place = 1
