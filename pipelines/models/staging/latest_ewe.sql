-- One row is one identified ewe in her farm's latest session before tupping.
select
    e.farm, e.season, e.scored_on, e."group", e.ewe, e.score, e.age, e.teeth, e.lame, e.udder, e.breed,
    case when e.score < c.target_low then 1 else 0 end as is_thin
from ewe_record as e
inner join tupping_session as t on t.farm = e.farm and t.scored_on = e.scored_on and t.is_latest = 1
inner join session_count as c on c.farm = e.farm and c.scored_on = e.scored_on and c."group" = 'ALL'
where e.farm in (select farm from farm_at_hand)
