-- One row is one identified ewe in one session and her score, by the line of hers that counts.
select e.session_id, e.ewe, e."group", e.score
from ewe_line as e
left join lost_line on lost_line.file_id = e.file_id and lost_line.line = e.line
where lost_line.line is null
