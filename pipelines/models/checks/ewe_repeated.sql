-- One row is one line that does not count, because the same ewe has a later line in the same session: in another
-- file, or under another of her tags. Reading a file finds her where one tag is repeated within it.
select
    l.farm, l.file_id, l.file, l.line, 'ewe' as "column", 'ewe_repeated' as code, 'warning' as severity,
    l.recorded_ewe as value,
    'Ewe ' || l.ewe || ' is recorded again in this session, in ' || kept.file || ' line '
    || cast(kept.line as varchar) || ', and that line counts. Correct the number if these are two ewes.' as message,
    0 as held_rows, l.scored_on
from lost_line as l
inner join ewe_record as kept on kept.farm = l.farm and kept.scored_on = l.scored_on and kept.ewe = l.ewe
where l.file_id <> kept.file_id or l.recorded_ewe <> kept.recorded_ewe
