-- One row is one group in one session and the grazing that most of its rows name.
select farm, scored_on, "group", grazing
from (
    select
        farm, scored_on, "group", grazing,
        row_number() over (partition by farm, scored_on, "group" order by sum(ewes) desc, grazing) as place
    from score_line
    where grazing is not null
    group by farm, scored_on, "group", grazing
) as named
where place = 1
