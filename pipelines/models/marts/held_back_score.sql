-- One row is one score of one group on a day whose scores wait, as recorded: it is held against no band. Of a ewe who
-- was scored twice that day the later line counts.
select
    farm, season, scored_on, "group", score, cast(sum(ewes) as integer) as ewes
from (
    select
        *, row_number() over (partition by farm, scored_on, ewe order by file desc, line desc) as place
    from waiting_line
    where not is_second_score
) as placed
where ewe is null or place = 1
group by farm, season, scored_on, "group", score
having sum(ewes) > 0
