-- One row is one identified ewe in one session before the days of her farm that are built anew, as it was published:
-- so that she can be followed across the first of those days.
select h.farm, h.ewe, h.scored_on, h.score, s.target_low, part.first_day - h.scored_on as days_before
from marts.ewe_history as h
inner join farm_part as part on part.farm = h.farm and part.first_day > h.scored_on
left join marts.session_summary as s
    on s.farm = h.farm and s.scored_on = h.scored_on and s."group" = 'ALL'
