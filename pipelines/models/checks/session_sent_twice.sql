-- One row is one file of which at least half the identified ewes of a session, and not just a few, count from
-- another file: most likely the same session sent twice, the second time corrected.
with part as (
    select l.farm, l.scored_on, l.file_id, count(distinct l.ewe) as ewes
    from score_line as l
    inner join (select distinct farm, scored_on, file_id from session_repeated) as lost
        on lost.farm = l.farm and lost.scored_on = l.scored_on and lost.file_id = l.file_id
    where l.ewe is not null and not l.is_second_score
    group by l.farm, l.scored_on, l.file_id
)

select
    repeated.farm, repeated.file_id, repeated.file, cast(null as integer) as line, 'scored_on' as "column",
    'session_sent_twice' as code, 'warning' as severity, cast(repeated.scored_on as varchar) as value,
    cast(repeated.ewes as varchar) || ' of the ' || cast(part.ewes as varchar) || ' ewes of ' || repeated.farm || ' on '
    || cast(repeated.scored_on as varchar) || ' are also in ' || repeated.other || ', and its lines count. If '
    || repeated.other || ' is the corrected file, let it replace this one: on the Files page, or with tupping import "'
    || repeated.other || '" --supersede "' || repeated.file || '".' as message,
    0 as held_rows, repeated.scored_on
from session_repeated as repeated
inner join part
    on part.farm = repeated.farm and part.scored_on = repeated.scored_on and part.file_id = repeated.file_id
where repeated.ewes * 2 >= part.ewes and repeated.ewes >= 5
