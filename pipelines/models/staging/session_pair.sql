-- One row is one session before the rams went in and one that came after it in the same season; `nearest` where no
-- other lies between.
select
    step.farm, step.season, step.scored_on, earlier.stage,
    later.scored_on as next_on, later.stage as next_stage, later.scored_on = step.next_on as nearest
from session_step as step
inner join session as earlier on earlier.farm = step.farm and earlier.scored_on = step.scored_on
inner join session as later
    on later.farm = step.farm and later.season = step.season and later.scored_on >= step.next_on
cross join terms
where later.held_back is null and later.stage in ('weaning', 'pre-tupping', 'tupping')
    and later.scored_on <= later.rams_in and later.scored_on <= terms.as_of
