-- One row is one ewe scored by two people in one session, to see how well they agree.
select
    second.farm, second.scored_on, second.ewe,
    first.scorer as scorer_a, first.score as score_a,
    second.scorer as scorer_b, second.score as score_b
from second_line as second
inner join ewe_record as first
    on first.farm = second.farm and first.scored_on = second.scored_on and first.ewe = second.ewe
