-- One row is one file ever offered. Of several names for the same bytes the first stands for them all; the
-- others are duplicates. Rows held back count as refused until they can be published.
with held as (
    select file_id, sum(held_rows) as held_rows from staging.farm_problem group by file_id having sum(held_rows) > 0
),

holder as (
    select source_file.*, counted_file.file as first_file, coalesce(held.held_rows, 0) as held_rows
    from source_file
    inner join counted_file on counted_file.file_id = source_file.file_id
    left join held on held.file_id = source_file.file_id
)

select
    f.file,
    f.sha256,
    f.imported_at,
    case
        when holder.file_id is null or f.status not in ('imported', 'imported_with_problems', 'duplicate') then f.status
        when f.file <> holder.first_file then 'duplicate'
        when holder.held_rows > 0 then 'imported_with_problems'
        else holder.status
    end as status,
    case when f.file = holder.first_file then holder.rows_read else f.rows_read end as rows_read,
    cast(case when f.file = holder.first_file then holder.rows_accepted - holder.held_rows else f.rows_accepted end
        as integer) as rows_accepted,
    cast(case when f.file = holder.first_file then holder.rows_refused + holder.held_rows else f.rows_refused end
        as integer) as rows_refused,
    coalesce(holder.kind, f.kind) as kind,
    coalesce(holder.layout, f.layout) as layout,
    successor.file as superseded_by
from source_file as f
left join holder on holder.sha256 = f.sha256
left join source_file as successor on successor.supersedes = f.file_id
