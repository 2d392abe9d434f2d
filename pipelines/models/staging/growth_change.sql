-- One row is one group that gained between two successive sessions of a season before the rams went in: how its
-- ewes changed, those identified in both sessions ewe by ewe, and the means of the group in each; and how many were
-- over the tupping band each time. Groups on holding or hard going say nothing of gain and are left out.
with over as (
    select
        c.farm, c.scored_on, c."group",
        sum(case when c.score > banded.high then c.ewes else 0 end) as ewes
    from session_cell as c
    inner join session_band as banded on banded.farm = c.farm and banded.scored_on = c.scored_on
    group by c.farm, c.scored_on, c."group"
)

select
    step.farm, step.season, before."group", step.scored_on, step.next_on, session.rams_in,
    coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') as grazing,
    coalesce(farm_grazing.grazing, group_grazing.grazing) is not null as stated,
    coalesce(pair.pairs, 0) as pairs, pair.change, pair.squares,
    before.ewes as ewes_before, before.mean_score as mean_before, before.sd_score as sd_before,
    coalesce(later.ewes, 0) as ewes_after, later.mean_score as mean_after, later.sd_score as sd_after,
    pair.start, pair.start_squares, pair.over_before as pairs_over_before, pair.over_after as pairs_over_after,
    over_before.ewes as over_before, over_after.ewes as over_after,
    banded.low, banded.target, banded.high, before.step, whole_later.step as next_step
from session_step as step
inner join session on session.session_id = step.session_id
inner join session_band as banded on banded.session_id = step.session_id
inner join session_count as before
    on before.farm = step.farm and before.scored_on = step.scored_on and before."group" <> 'ALL'
inner join session_count as whole_later
    on whole_later.farm = step.farm and whole_later.scored_on = step.next_on and whole_later."group" = 'ALL'
left join session_count as later
    on later.farm = step.farm and later.scored_on = step.next_on and later."group" = before."group"
left join over as over_before
    on over_before.farm = step.farm and over_before.scored_on = step.scored_on
    and over_before."group" = before."group"
left join over as over_after
    on over_after.farm = step.farm and over_after.scored_on = step.next_on and over_after."group" = before."group"
left join ewe_change as pair on pair.session_id = step.session_id and pair."group" = before."group"
left join farm_grazing on farm_grazing.farm = step.farm and farm_grazing."group" = before."group"
left join group_grazing
    on group_grazing.farm = step.farm and group_grazing.scored_on = step.scored_on
    and group_grazing."group" = before."group"
where coalesce(farm_grazing.grazing, group_grazing.grazing, 'ordinary') in ('best', 'ordinary')
