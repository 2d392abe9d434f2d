-- One row is one group in one session, and ALL for the whole session, with the names of those who scored it.
with named as (
    select distinct farm, scored_on, "group", scorer
    from score_line where scorer is not null and not is_second_score
    union
    select distinct farm, scored_on, 'ALL' as "group", scorer
    from score_line where scorer is not null and not is_second_score
),

placed as (
    select
        named.*,
        row_number() over (partition by farm, scored_on, "group" order by scorer) as place
    from named
)

select
    farm,
    scored_on,
    "group",
    max(case when place = 1 then scorer end)
        || coalesce(', ' || max(case when place = 2 then scorer end), '')
        || coalesce(', ' || max(case when place = 3 then scorer end), '')
        || case when count(*) > 3 then ' and others' else '' end as scorers
from placed
group by farm, scored_on, "group"
