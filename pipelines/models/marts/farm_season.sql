-- One row is one farm in one season, as the practice's register has it, with the score below which a ewe is thin at
-- tupping there.
select
    r.farm, r.season, r.name, r.system, r.ewes, r.weaned_on, r.rams_in, r.flush_days, r.ready_by,
    r.best_grazing_places, r.region, r.breed, r.discussion_group, r.contact,
    coalesce(farm_band.low, band.low) as tupping_low
from register_line as r
left join band on band.system = r.system and band.stage = 'tupping'
left join farm_band on farm_band.farm = r.farm and farm_band.stage = 'tupping'
where r.place = 1
