-- One row is one season in which a farm concerned is registered, or was before this build.
select season from register_line
union
select season from marts.farm_season where farm in (select farm from affected_farm)
