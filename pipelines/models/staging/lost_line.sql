-- One row is one line of an identified ewe that does not count, because she has a later one in the same session: the
-- last line of the file whose name sorts last counts. Whoever scores a ewe again at the race means the later figure.
select farm, scored_on, ewe, recorded_ewe, file_id, file, line
from (
    select
        l.farm, l.scored_on, l.ewe, l.recorded_ewe, l.file_id, l.file, l.line,
        row_number() over (partition by l.farm, l.scored_on, l.ewe order by l.file desc, l.line desc) as place
    from score_line as l
    inner join ewe_twice on ewe_twice.farm = l.farm and ewe_twice.scored_on = l.scored_on and ewe_twice.ewe = l.ewe
    where not l.is_second_score
) as placed
where place > 1
