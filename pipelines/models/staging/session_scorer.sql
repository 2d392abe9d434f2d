-- One row is one scorer in one session of one farm, with the first line of hers and the step of her scores.
select
    farm, scored_on, scorer, file_id, file, line,
    case when has_quarter = 1 then 0.25e0 when has_half = 1 then 0.5e0 else 1e0 end as step,
    ewes
from (
    select
        l.farm, l.scored_on, l.scorer, l.file_id, l.file, l.line,
        max(case when l.score * 2 <> floor(l.score * 2) then 1 else 0 end) over session_of_scorer as has_quarter,
        max(case when l.score <> floor(l.score) then 1 else 0 end) over session_of_scorer as has_half,
        cast(sum(l.ewes) over session_of_scorer as integer) as ewes,
        row_number() over (partition by l.farm, l.scored_on, l.scorer order by l.file, l.line) as place
    from score_line as l
    inner join session on session.farm = l.farm and session.scored_on = l.scored_on and session.held_back is null
    where l.scorer is not null and not l.is_second_score
    window session_of_scorer as (partition by l.farm, l.scored_on, l.scorer)
) as walked
where place = 1
