-- One row is one file in a session that counts more ewes than the register has for the farm.
select
    l.farm, l.file_id, l.file, min(l.line) as line, 'count' as "column", 'above_flock_size' as code,
    'warning' as severity, cast(c.ewes as varchar) as value,
    cast(c.ewes as varchar) || ' ewes were scored on ' || cast(c.scored_on as varchar) || ' but the register has '
    || cast(c.flock_ewes as varchar) || '. Correct the count, or the number of ewes in the register.' as message,
    0 as held_rows, c.scored_on
from session_count as c
inner join score_line as l on l.farm = c.farm and l.scored_on = c.scored_on and not l.is_second_score
where c."group" = 'ALL' and c.ewes > c.flock_ewes
group by l.farm, l.file_id, l.file, c.ewes, c.scored_on, c.flock_ewes
