-- One row is one file that holds the same group of the same session as another, where one of the two only counts
-- ewes: then nothing can tell whether the same ewes are in both. Ewes identified in both count once in any case.
with part as (
    select
        farm, scored_on, "group", file_id, file, min(line) as line,
        max(case when ewe is null then 1 else 0 end) as is_tally
    from score_line
    where not is_second_score
    group by farm, scored_on, "group", file_id, file
)

select
    part.farm, part.file_id, part.file, part.line, 'group' as "column", 'session_in_two_files' as code,
    'warning' as severity, part."group" as value,
    'Group ' || part."group" || ' of ' || part.farm || ' on ' || cast(part.scored_on as varchar) || ' is also in '
    || min(other.file) || ', and the ewes of both are added up. If one is the corrected file, let it replace the other: on the Files'
    || ' page, or with tupping import NEW --supersede OLD.' as message,
    0 as held_rows, part.scored_on
from part
inner join session on session.farm = part.farm and session.scored_on = part.scored_on and session.held_back is null
inner join part as other
    on other.farm = part.farm and other.scored_on = part.scored_on and other."group" = part."group"
    and other.file_id <> part.file_id
where part.is_tally + other.is_tally > 0
group by part.farm, part.file_id, part.file, part.line, part."group", part.scored_on
