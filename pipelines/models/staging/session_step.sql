-- One row is one session before the rams went in and the one that followed it in the same season.
select farm, season, scored_on, next_on, session_id, next_id
from (
    select
        session.farm, session.season, session.scored_on, session.session_id,
        lead(session.scored_on) over (partition by farm, season order by scored_on) as next_on,
        lead(session.session_id) over (partition by farm, season order by scored_on) as next_id
    from session
    cross join terms
    where held_back is null and stage in ('weaning', 'pre-tupping', 'tupping')
        and scored_on <= rams_in and scored_on <= terms.as_of
) as followed
where next_on is not null
