-- One row is one farm in one season with its latest session before tupping, on which readiness rests;
-- `is_latest` marks the last such season of the farm.
select
    farm, season, scored_on,
    case when row_number() over (partition by farm order by season desc) = 1 then 1 else 0 end as is_latest
from (
    select session.farm, session.season, max(session.scored_on) as scored_on
    from session
    cross join terms
    where held_back is null
        and scored_on <= rams_in and scored_on <= terms.as_of
        and stage in ('weaning', 'pre-tupping', 'tupping')
    group by session.farm, session.season
) as last_before
