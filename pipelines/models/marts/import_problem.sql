-- One row is one problem found in one file, on reading it or on fitting it to the rest.
select f.file, p.line, p."column", p.code, p.severity, p.value, p.message, f.sha256, f.context_json as given
from file_problem as p
inner join source_file as f on f.file_id = p.file_id
where f.file in (select file from affected_file)
union all
select f.file, p.line, p."column", p.code, p.severity, p.value, p.message, f.sha256, f.context_json as given
from (
    select file_id, line, "column", code, severity, value, message from marts.farm_problem
    union all
    select file_id, line, "column", code, severity, value, message from whole_scores_only
    union all
    select file_id, line, "column", code, severity, value, message from scorer_elsewhere
) as p
inner join source_file as f on f.file_id = p.file_id
where f.file in (select file from affected_file)
