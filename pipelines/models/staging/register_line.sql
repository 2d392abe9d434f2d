-- One row is one line of a register that counts; `place` 1 is the line that is believed for its farm and
-- season: the last one of the file whose name sorts last.
select
    r.farm,
    r.season,
    r.name,
    r.system,
    r.ewes,
    r.weaned_on,
    r.rams_in,
    coalesce(r.flush_days, terms.flush_days) as flush_days,
    r.rams_in - coalesce(r.flush_days, terms.flush_days) as ready_by,
    r.best_grazing_places,
    r.region,
    r.breed,
    r.discussion_group,
    r.contact,
    f.file_id,
    f.file,
    r.line,
    row_number() over (partition by r.farm, r.season order by f.file desc, r.line desc) as place
from register_row as r
inner join counted_file as f on f.file_id = r.file_id
cross join terms
where r.farm in (select farm from affected_farm)
