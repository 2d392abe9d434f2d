-- One row is one ewe whose score moved by more than 1.5 within a month (31 days) of her score before.
select
    farm, file_id, file, line, 'score' as "column", 'score_jump' as code, 'warning' as severity,
    cast(score as varchar) as value,
    'Ewe ' || ewe || ' went from ' || cast(score_before as varchar) || ' to ' || cast(score as varchar)
    || ' since ' || cast(scored_before as varchar)
    || ', more than a ewe can change in a month. Check both scores and her number.' as message,
    0 as held_rows, scored_on
from (
    select
        e.farm, e.ewe, e.scored_on, e.score, e.file_id, e.file, e.line,
        lag(e.score) over (partition by e.farm, e.ewe order by e.scored_on) as score_before,
        lag(e.scored_on) over (partition by e.farm, e.ewe order by e.scored_on) as scored_before
    from (
        select farm, ewe, scored_on, score, file_id, file, line from ewe_record
        union all
        select farm, ewe, scored_on, score, null, null, null from ewe_before where days_before <= 31
    ) as e
    inner join ewe_moved as moved on moved.farm = e.farm and moved.ewe = e.ewe
) as followed
where abs(score - score_before) > 1.5e0 and scored_on <= scored_before + 31
