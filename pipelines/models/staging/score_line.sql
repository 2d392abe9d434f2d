-- One row is one score, or one count of a score, as a file that counts has it, under the ewe's present identity.
select
    f.file_id,
    f.file,
    s.line,
    s.farm,
    s.scored_on,
    s."group",
    coalesce(identity.ewe, s.ewe) as ewe,
    s.ewe as recorded_ewe,
    s.score,
    s.count as ewes,
    s.stage as stated_stage,
    s.scorer,
    s.breed,
    s.grazing,
    s.age,
    s.weight_kg,
    s.teeth,
    s.lame,
    s.udder,
    coalesce(s.note, '') = 'recalibration pair' as is_second_score
from score_row as s
inner join counted_file as f on f.file_id = s.file_id
inner join farm_part as part on part.farm = s.farm and part.first_day <= s.scored_on
left join identity on identity.farm = s.farm and identity.old_ewe = s.ewe
