-- One row is one reason why scores of a farm and season, or its line in the register, cannot be judged: a sentence of
-- `subject` and `why`, what to do about it, and the file and line that it is about.
with known as (
    select farm, season, file, line, rams_in
    from register_line
    where place = 1
),

nearest as (
    select
        w.farm, w.season, w.scored_on, known.file, known.line, known.rams_in,
        row_number() over (
            partition by w.farm, w.season order by abs(known.rams_in - w.scored_on) nulls last, known.season desc
        ) as place
    from waiting_session as w
    inner join known on known.farm = w.farm
    where w.held_back = 'no_season'
)

select
    farm, season, name, code, file, line, 0 as turn,
    'the register' as subject,
    case
        when code = 'rams_in_missing' then 'gives no rams-in date'
        when code = 'system_missing' then 'gives no system'
        when code = 'system_unknown' then 'gives “' || value || '”, which is not a system'
        when code = 'dates_out_of_order' then 'has the ewes weaned after the rams go in'
        when "column" <> '' and value <> '' then 'gives a “' || "column" || '” that cannot be used, “' || value || '”'
        else 'has its line refused'
    end as why,
    message || ' Then import the register again.' as remedy
from refused_register

union all

select
    farm, season, null as name, held_back as code, min(file) as file,
    cast(null as integer) as line, 1 as turn,
    'the farm' as subject, 'is in no register that could be taken' as why,
    'Import a register with this farm, or correct the code in the score file.' as remedy
from waiting_session
where held_back = 'unknown_farm'
    and not exists (
        select 1 from refused_register as r where r.farm = waiting_session.farm and r.season = waiting_session.season
    )
group by farm, season, held_back

union all

select
    farm, season, null as name, 'no_season' as code, file, line, 1 as turn,
    'the register' as subject,
    case
        when rams_in is null then 'gives no rams-in date'
        else
            'gives no rams-in date near the scoring of ' || cast(scored_on as varchar) || ' (the nearest is '
            || cast(rams_in as varchar) || ')'
    end as why,
    'Add the season to the register, or correct the date of the scoring.' as remedy
from nearest
where place = 1
    and not exists (
        select 1 from refused_register as r where r.farm = nearest.farm and r.season = nearest.season
    )

union all

select
    w.farm, w.season, null as name, 'weaned_on_missing' as code, known.file, known.line, 1 as turn,
    'the register' as subject, 'gives no weaned_on date, so the stage of the scoring is not known' as why,
    'Add the weaned_on date to the register, or a stage column to the scores.' as remedy
from waiting_session as w
inner join known on known.farm = w.farm and known.season = w.season
where w.held_back = 'no_stage' and w.weaned_on is null and w.scored_on < w.rams_in - 21
group by w.farm, w.season, known.file, known.line

union all

select
    farm, season, null as name, 'no_stage' as code, file, line, 2 as turn,
    'the scoring of ' || cast(scored_on as varchar) as subject,
    'falls in no stage of the season (' || coalesce('weaned ' || cast(weaned_on as varchar) || ', ', '')
    || 'rams in ' || cast(rams_in as varchar) || ')' as why,
    'Add a stage column (weaning, pre-tupping, tupping, scanning or lambing), or correct the date.' as remedy
from waiting_session
where held_back = 'no_stage' and not (weaned_on is null and scored_on < rams_in - 21)
