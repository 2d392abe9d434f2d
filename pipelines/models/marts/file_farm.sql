-- One row is one farm that one file names on a row; decides who may see the file.
select f.file, named.farm
from (
    select file_id, farm from score_row where farm in (select farm from affected_farm)
    union
    select file_id, farm from register_row where farm in (select farm from affected_farm)
    union
    select file_id, farm from refused_line where farm in (select farm from affected_farm)
) as named
inner join source_file as f on f.file_id = named.file_id
group by f.file, named.farm
