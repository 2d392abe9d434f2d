-- One row is one group that gained between two successive sessions of a season before the rams went in: how its
-- ewes changed, those identified in both sessions ewe by ewe, and the means of the group in each. Groups on holding
-- or hard going say nothing of gain and are left out.
with pair as (
    select
        step.session_id, before."group", count(*) as pairs,
        sum(later.score - before.score) as change,
        -- scores are quarters, so both sums are exact and their order cannot matter
        sum((later.score - before.score) * (later.score - before.score)) as squares
    from session_step as step
    inner join ewe_score as before on before.session_id = step.session_id
    inner join ewe_score as later on later.session_id = step.next_id and later.ewe = before.ewe
    group by step.session_id, before."group"
)

select
    step.farm, step.season, before."group", step.scored_on, step.next_on,
    coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') as grazing,
    coalesce(farm_grazing.grazing, group_grazing.grazing) is not null as stated,
    coalesce(pair.pairs, 0) as pairs, pair.change, pair.squares,
    before.ewes as ewes_before, before.mean_score as mean_before, before.sd_score as sd_before,
    coalesce(later.ewes, 0) as ewes_after, later.mean_score as mean_after, later.sd_score as sd_after
from session_step as step
inner join session_count as before
    on before.farm = step.farm and before.scored_on = step.scored_on and before."group" <> 'ALL'
left join session_count as later
    on later.farm = step.farm and later.scored_on = step.next_on and later."group" = before."group"
left join pair on pair.session_id = step.session_id and pair."group" = before."group"
left join farm_grazing on farm_grazing.farm = step.farm and farm_grazing."group" = before."group"
left join group_grazing
    on group_grazing.farm = step.farm and group_grazing.scored_on = step.scored_on
    and group_grazing."group" = before."group"
where coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') in ('best', 'ordinary')
