-- One row is one farm in one file whose rows cannot be published yet, with the first of its lines.
select
    l.farm, l.file_id, l.file, min(l.line) as line,
    case l.held_back when 'unknown_farm' then 'farm' else 'scored_on' end as "column",
    case
        when l.held_back = 'unknown_farm' and refused.farm is not null then 'register_refused' else l.held_back
    end as code,
    'error' as severity,
    case l.held_back when 'unknown_farm' then l.farm else cast(min(l.scored_on) as varchar) end as value,
    case
        when l.held_back = 'unknown_farm' and refused.farm is not null then
            'The line of farm ' || l.farm || ' in the register was refused, so '
            || cast(count(distinct l.line) as varchar)
            || ' rows wait. Correct that line as its own message says, and import the register again.'
        when l.held_back = 'unknown_farm' then
            'Farm ' || l.farm || ' is not in any register; ' || cast(count(distinct l.line) as varchar)
            || ' rows wait. Import a register with this farm, or correct the code in the file.'
        when l.held_back = 'no_season' then
            cast(count(distinct l.line) as varchar) || ' rows of farm ' || l.farm
            || ' wait: no rams-in date in the register is within 260 days after or 160 days before the scoring.'
            || ' Add the season to the register, or correct the date.'
        else
            cast(count(distinct l.line) as varchar) || ' rows of farm ' || l.farm
            || ' wait: the date belongs to no stage of the season.'
            || ' Add a stage column (weaning, pre-tupping, tupping, scanning or lambing), the weaned_on date'
            || ' to the register where it is missing, or correct the date.'
    end as message,
    cast(count(distinct l.line) as integer) as held_rows, min(l.scored_on) as scored_on
from waiting_line as l
left join (
    select distinct r.farm
    from refused_line as r
    inner join counted_file as f on f.file_id = r.file_id
) as refused on refused.farm = l.farm
group by l.farm, l.file_id, l.file, l.held_back, refused.farm
