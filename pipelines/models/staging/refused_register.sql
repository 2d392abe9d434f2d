-- One row is one fault of one refused line of a register, of a farm that no line that counts puts into that season.
-- A line that tells no season is taken for that of the farm's scores that wait, else for the one in hand.
with told as (
    select
        r.farm, r.name, r.file_id, f.file, r.line,
        coalesce(r.season, waiting.season, cast(extract(year from terms.as_of - 90) as integer)) as season
    from refused_line as r
    inner join counted_file as f on f.file_id = r.file_id
    cross join terms
    left join (select distinct farm, season from waiting_session where not registered) as waiting
        on waiting.farm = r.farm and r.season is null
    where r.farm in (select farm from affected_farm)
)

select
    told.farm, told.name, told.season, told.file, told.line,
    p.code, coalesce(p."column", '') as "column", coalesce(p.value, '') as value, p.message
from told
inner join file_problem as p on p.file_id = told.file_id and p.line = told.line and p.severity = 'error'
left join register_line as kept on kept.farm = told.farm and kept.season = told.season and kept.place = 1
where kept.farm is null
