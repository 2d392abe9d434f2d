-- One row is one file whose rows count: not refused, superseded, withdrawn or a repetition of another.
select file_id, file
from source_file
where status in ('imported', 'imported_with_problems')
