-- One row is one file with rows that state another stage than the one their session is counted at.
select
    l.farm, l.file_id, l.file, min(l.line) as line, 'stage' as "column", 'stage_differs' as code,
    'warning' as severity, min(l.stated_stage) as value,
    'The session of ' || l.farm || ' on ' || cast(l.scored_on as varchar) || ' is counted at '
    || session.stage || ', the stage of most of its rows. Give all its rows one stage.' as message,
    0 as held_rows, l.scored_on
from score_line as l
inner join session on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
where l.stated_stage <> session.stage
group by l.farm, l.scored_on, l.file_id, l.file, session.stage
