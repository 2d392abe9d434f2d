-- One row is one second score of a recalibration pair without a first score of the same ewe to set it against.
select
    l.farm, l.file_id, l.file, l.line, 'note' as "column", 'second_score_alone' as code, 'warning' as severity,
    coalesce(l.ewe, '') as value,
    'This second score has no first score of the same ewe on the same day, so it counts nowhere.'
    || ' Give the ewe the number she has in the session, or clear the note.' as message,
    0 as held_rows, l.scored_on
from second_line as l
inner join session on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
left join ewe_record as first on first.farm = l.farm and first.scored_on = l.scored_on and first.ewe = l.ewe
where first.farm is null
