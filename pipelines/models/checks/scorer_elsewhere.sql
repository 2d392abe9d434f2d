-- One row is one session whose scorer is recorded on another farm the same day. Two farms in a day can be true;
-- a date carried over from the last sheet looks just the same, so the adviser is asked.
select
    s.farm, s.file_id, s.file, s.line, 'scored_on' as "column", 'scorer_elsewhere' as code, 'warning' as severity,
    cast(s.scored_on as varchar) as value,
    s.scorer || ' is recorded at ' || min(other.farm) || ' on the same day, ' || cast(s.scored_on as varchar)
    || '. If one date was carried over from the other sheet, correct it.' as message,
    0 as held_rows
from marts.session_scorer as s
inner join marts.session_scorer as other
    on other.scorer = s.scorer and other.scored_on = s.scored_on and other.farm <> s.farm
group by s.farm, s.file_id, s.file, s.line, s.scorer, s.scored_on
