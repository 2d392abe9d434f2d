-- One row is one season from the first that changed on, in which a farm concerned is registered or was.
select season
from (
    select season from register_line
    union
    select season from marts.farm_season where farm in (select farm from affected_farm)
) as registered
where season >= (select min(season) from changed_season)
