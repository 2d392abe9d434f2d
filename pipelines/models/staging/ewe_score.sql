-- One row is one identified ewe in one session. When she was recorded twice, the last line of the file whose
-- name sorts last counts: whoever scores a ewe again at the race means the later figure.
select
    latest.farm,
    session.season,
    latest.ewe,
    latest.recorded_ewe,
    latest.scored_on,
    session.stage,
    latest."group",
    latest.score,
    latest.weight_kg,
    latest.scorer,
    latest.age,
    latest.teeth,
    latest.lame,
    latest.udder,
    latest.breed,
    latest.file_id,
    latest.file,
    latest.line
from (
    select
        score_line.*,
        row_number() over (partition by farm, scored_on, ewe order by file desc, line desc) as place
    from score_line
    where ewe is not null and not is_second_score
) as latest
inner join session
    on session.farm = latest.farm and session.scored_on = latest.scored_on and session.held_back is null
where latest.place = 1
