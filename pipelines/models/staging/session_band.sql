-- One row is one session and the tupping band of its farm.
select
    session.session_id, session.farm, session.scored_on,
    coalesce(farm_band.low, band.low) as low,
    coalesce(farm_band.target, band.target) as target,
    coalesce(farm_band.high, band.high) as high
from session
inner join band on band.system = session.system and band.stage = 'tupping'
left join farm_band on farm_band.farm = session.farm and farm_band.stage = 'tupping'
