-- One row is one file of which something may be said anew: what the ledger says of it, what fits the rest of a farm that
-- is built anew, or what is found by comparing the sessions of all farms.
select file from changed_file

union

select file from marts.file_farm where farm in (select farm from affected_farm)

union

select f.file
from source_file as f
inner join (
    select file_id from whole_scores_only
    union
    select file_id from scorer_elsewhere
) as compared on compared.file_id = f.file_id

union

select file from marts.import_problem where code in ('whole_scores_only', 'scorer_elsewhere')
