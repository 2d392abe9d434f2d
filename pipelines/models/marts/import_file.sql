-- One row is one file ever offered. Rows held back count as refused until they can be published; `rows_waiting` are
-- those. The same bytes given with another farm, day or group are a record of their own: `given` tells them apart.
with held as (
    select file_id, sum(held_rows) as held_rows from marts.farm_problem group by file_id
)

select
    f.file,
    f.sha256,
    f.imported_at,
    case when f.status = 'imported' and held.held_rows > 0 then 'imported_with_problems' else f.status end as status,
    f.rows_read,
    cast(f.rows_accepted - coalesce(held.held_rows, 0) as bigint) as rows_accepted,
    cast(f.rows_refused + coalesce(held.held_rows, 0) as bigint) as rows_refused,
    f.kind,
    f.layout,
    successor.file as superseded_by,
    cast(coalesce(held.held_rows, 0) as bigint) as rows_waiting,
    f.context_json as given
from source_file as f
left join held on held.file_id = f.file_id
left join source_file as successor on successor.supersedes = f.file_id
where f.file in (select file from affected_file)
