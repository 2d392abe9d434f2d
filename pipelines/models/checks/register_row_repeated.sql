-- One row is one line of a register that does not count, because a later one has the same farm and season.
select
    r.farm, r.file_id, r.file, r.line, 'farm' as "column", 'register_row_repeated' as code, 'warning' as severity,
    r.farm as value,
    'Farm ' || r.farm || ' has another row for season ' || cast(r.season as varchar) || ', in ' || kept.file
    || ' line ' || cast(kept.line as varchar) || ', and that row counts. Remove the row that is out of date.'
    as message,
    -- of no session: it goes and comes with all of its farm
    0 as held_rows, cast('0001-01-01' as date) as scored_on
from register_line as r
inner join register_line as kept on kept.farm = r.farm and kept.season = r.season and kept.place = 1
where r.place > 1
