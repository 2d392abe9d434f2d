-- One row is one farm in one season with its latest session before tupping, on which readiness rests, or, where
-- there is none, its latest session at tupping, of which is then said why it cannot be projected; `is_latest` marks
-- the last such season of the farm.
select
    farm, season, scored_on,
    case when row_number() over (partition by farm order by season desc) = 1 then 1 else 0 end as is_latest
from (
    select
        session.farm, session.season,
        coalesce(max(case when scored_on <= rams_in then session.scored_on end), max(session.scored_on)) as scored_on
    from session
    cross join terms
    where held_back is null
        and scored_on <= terms.as_of
        and stage in ('weaning', 'pre-tupping', 'tupping')
    group by session.farm, session.season
) as last_before
