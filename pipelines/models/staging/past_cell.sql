-- One row is one score of one group in a session that another came after in the same season, with what the later one
-- recorded inside the tupping band: what a projection made on the earlier day is held against.
with later as (
    select
        pair.farm, pair.scored_on, pair.next_on, pair.stage, pair.next_stage, pair.nearest,
        cast(sum(c.ewes) as integer) as next_ewes,
        cast(sum(case
            when c.score between coalesce(farm_band.low, band.low) and coalesce(farm_band.high, band.high) then c.ewes
            else 0
        end) as integer) as next_ready
    from session_pair as pair
    inner join session on session.farm = pair.farm and session.scored_on = pair.scored_on
    inner join session_cell as c on c.farm = pair.farm and c.scored_on = pair.next_on
    inner join band on band.system = session.system and band.stage = 'tupping'
    left join farm_band on farm_band.farm = pair.farm and farm_band.stage = 'tupping'
    group by pair.farm, pair.scored_on, pair.next_on, pair.stage, pair.next_stage, pair.nearest
)

select
    c.farm, c.season, c.scored_on, later.next_on, c."group", c.score, c.ewes, later.next_ewes, later.next_ready,
    later.stage, later.next_stage, later.nearest,
    session.flock_ewes, session.weaned_on, session.rams_in,
    coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') as grazing,
    case when coalesce(farm_grazing.grazing, group_grazing.grazing) is null then 0 else 1 end as stated,
    coalesce(farm_band.low, band.low) as target_low,
    coalesce(farm_band.high, band.high) as target_high,
    session_count.step
from session_cell as c
inner join later on later.farm = c.farm and later.scored_on = c.scored_on
inner join session on session.farm = c.farm and session.scored_on = c.scored_on
inner join band on band.system = session.system and band.stage = 'tupping'
inner join session_count
    on session_count.farm = c.farm and session_count.scored_on = c.scored_on and session_count."group" = 'ALL'
left join farm_band on farm_band.farm = c.farm and farm_band.stage = 'tupping'
left join farm_grazing on farm_grazing.farm = c.farm and farm_grazing."group" = c."group"
left join group_grazing
    on group_grazing.farm = c.farm and group_grazing.scored_on = c.scored_on and group_grazing."group" = c."group"
