-- One row is one farm of which more must be built anew than the days from its first one on: its latest session before
-- tupping lies before them now, or a file has scores that wait on either side, which are told of together.
select part.farm
from farm_part as part
where part.first_day > cast('0001-01-01' as date)
    and part.farm in (select farm from marts.readiness) and part.farm not in (select farm from tupping_session)

union

select part.farm
from farm_part as part
inner join marts.waiting_file as earlier on earlier.farm = part.farm and earlier.scored_on < part.first_day
inner join waiting_line as later on later.file_id = earlier.file_id and later.farm = part.farm
