-- One row is one score, or one count of a score, of a session that is held back, in the season of the register that it
-- falls in, or where there is none in that of its date: what is scored until the end of March follows last autumn's
-- tupping.
select
    l.farm, l.scored_on, l."group", l.ewe, l.score, l.ewes, l.is_second_score, l.file_id, l.file, l.line,
    session.held_back, session.weaned_on, session.rams_in,
    coalesce(session.season, cast(extract(year from session.scored_on - 90) as integer)) as season,
    session.season is not null as registered
from score_line as l
inner join session
    on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is not null
