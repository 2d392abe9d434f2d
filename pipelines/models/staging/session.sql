-- One row is one farm on one day of scoring, with its season and stage, or why it is held back.
with stated as (
    -- a session has one stage: the one that most of its rows state
    select farm, scored_on, stated_stage
    from (
        select
            farm, scored_on, stated_stage,
            row_number() over (partition by farm, scored_on order by count(*) desc, stated_stage) as place
        from score_line
        where stated_stage is not null
        group by farm, scored_on, stated_stage
    ) as counted
    where place = 1
),

seasoned as (
    -- from the weaning before a tupping to the lambing after it
    select
        day.farm, day.scored_on, r.season, r.system, r.ewes as flock_ewes, r.weaned_on, r.rams_in, r.ready_by,
        row_number() over (partition by day.farm, day.scored_on order by r.rams_in nulls last, r.season) as place
    from (select distinct farm, scored_on from score_line) as day
    left join register_line as r
        on r.farm = day.farm and r.place = 1
        and day.scored_on <= r.rams_in + 160 and day.scored_on > r.rams_in - 260
),

staged as (
    select
        seasoned.*,
        coalesce(stated.stated_stage, case
            when seasoned.scored_on between weaned_on - 7 and weaned_on + 28 then 'weaning'
            when seasoned.scored_on > weaned_on and seasoned.scored_on < rams_in - 21 then 'pre-tupping'
            when seasoned.scored_on between rams_in - 21 and rams_in + 21 then 'tupping'
            when seasoned.scored_on between rams_in + 42 and rams_in + 111 then 'scanning'
            when seasoned.scored_on between rams_in + 112 and rams_in + 160 then 'lambing'
        end) as stage
    from seasoned
    left join stated on stated.farm = seasoned.farm and stated.scored_on = seasoned.scored_on
    where place = 1
)

select
    -- a number, because ewes by the million are told apart by it more quickly than by farm and day
    cast(row_number() over (order by staged.farm, scored_on) as integer) as session_id,
    staged.farm, scored_on, season, stage, system, flock_ewes, weaned_on, rams_in, ready_by,
    case
        when known.farm is null then 'unknown_farm'
        when season is null then 'no_season'
        when stage is null then 'no_stage'
    end as held_back
from staged
left join (select distinct farm from register_line) as known on known.farm = staged.farm
