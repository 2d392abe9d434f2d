-- One row is one season from the first that changed on, in which a farm concerned is registered or waits, or did.
select season
from (
    select season from register_line
    union
    select season from held_reason
    union
    select season from marts.farm_season where farm in (select farm from affected_farm)
    union
    select season from marts.held_back where farm in (select farm from affected_farm)
) as concerned
where season >= (select min(season) from changed_season)
