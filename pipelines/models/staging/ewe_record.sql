-- One row is one identified ewe in one session, with all that the line of hers that counts says.
select
    l.farm,
    session.season,
    l.ewe,
    l.recorded_ewe,
    l.scored_on,
    session.stage,
    l."group",
    l.score,
    l.weight_kg,
    l.scorer,
    l.age,
    l.teeth,
    l.lame,
    l.udder,
    l.breed,
    l.file_id,
    l.file,
    l.line
from score_line as l
inner join session
    on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
left join lost_line on lost_line.file_id = l.file_id and lost_line.line = l.line
where l.ewe is not null and not l.is_second_score and lost_line.line is null
