-- One row is one problem found in one file, on reading it or on fitting it to the rest.
with named as (
    -- a problem of bytes that came under several names is shown under the name that counts
    select source_file.file_id, coalesce(counted_file.file, source_file.file) as file
    from source_file
    left join counted_file on counted_file.file_id = source_file.file_id
)

select named.file, p.line, p."column", p.code, p.severity, p.value, p.message
from file_problem as p
inner join named on named.file_id = p.file_id
union all
select file, line, "column", code, severity, value, message from staging.farm_problem
union all
select file, line, "column", code, severity, value, message from whole_scores_only
union all
select file, line, "column", code, severity, value, message from scorer_elsewhere
