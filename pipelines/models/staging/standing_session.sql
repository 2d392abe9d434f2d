-- One row is one farm in one season and stage with its latest session there up to today, in the seasons that changed.
select
    farm, season, stage, system, scored_on, ewes, flock_ewes, thin, thin_share, thin_share_low, thin_share_high
from (
    select
        summary.*,
        row_number() over (partition by farm, season, stage order by scored_on desc) as place
    from marts.session_summary as summary
    cross join terms
    where "group" = 'ALL' and scored_on <= terms.as_of and season in (select season from affected_season)
) as latest
where place = 1
