-- One row is one group in one session, and ALL for the whole session: its ewes counted against the band.
with step as (
    select
        farm, scored_on,
        case
            when max(case when score * 2 <> floor(score * 2) then 1 else 0 end) = 1 then 0.25e0
            when max(case when score <> floor(score) then 1 else 0 end) = 1 then 0.5e0
            else 1e0
        end as step
    from session_cell
    group by farm, scored_on
),

cell as (
    select farm, scored_on, "group", score, ewes from session_cell
    where farm in (select farm from farm_at_hand)
    union all
    select farm, scored_on, 'ALL' as "group", score, ewes from session_cell
    where farm in (select farm from farm_at_hand)
),

judged as (
    select
        cell.*, session.season, session.stage, session.system, session.flock_ewes, step.step,
        coalesce(farm_band.low, band.low) as low,
        coalesce(farm_band.target, band.target) as target,
        coalesce(farm_band.high, band.high) as high
    from cell
    inner join session on session.farm = cell.farm and session.scored_on = cell.scored_on
    inner join step on step.farm = cell.farm and step.scored_on = cell.scored_on
    inner join band on band.system = session.system and band.stage = session.stage
    left join farm_band on farm_band.farm = cell.farm and farm_band.stage = session.stage
)

select
    farm, season, scored_on, stage, "group", system, flock_ewes, step,
    low as target_low, target, high as target_high,
    cast(sum(ewes) as integer) as ewes,
    cast(sum(case when score < low then ewes else 0 end) as integer) as thin,
    cast(sum(case when score > high then ewes else 0 end) as integer) as over,
    sum(score * ewes) / sum(ewes) as mean_score,
    -- scores are quarters, so both sums are exact and their order cannot matter
    case when sum(ewes) > 1 then
        sqrt((sum(score * score * ewes) - sum(score * ewes) * sum(score * ewes) / sum(ewes)) / (sum(ewes) - 1))
    end as sd_score
from judged
group by farm, season, scored_on, stage, "group", system, flock_ewes, step, low, target, high
