-- One row is one file, one session and another file from which ewes of both count: how many.
select l.farm, l.scored_on, l.file_id, l.file, kept.file as other, count(distinct l.ewe) as ewes
from lost_line as l
inner join ewe_record as kept on kept.farm = l.farm and kept.scored_on = l.scored_on and kept.ewe = l.ewe
where l.file_id <> kept.file_id
group by l.farm, l.scored_on, l.file_id, l.file, kept.file
