-- One row is one farm in one season, as the practice's register has it.
select
    farm, season, name, system, ewes, weaned_on, rams_in, flush_days, ready_by,
    best_grazing_places, region, breed, discussion_group, contact
from register_line
where place = 1
