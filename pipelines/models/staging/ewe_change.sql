-- One row is one group of a session and how its ewes changed to the next session before the rams went in: those
-- identified in both, and how many of them were over the tupping band each time.
select
    step.session_id, before."group", count(*) as pairs,
    sum(later.score - before.score) as change,
    -- scores are quarters, so all sums are exact and their order cannot matter
    sum((later.score - before.score) * (later.score - before.score)) as squares,
    sum(before.score) as start, sum(before.score * before.score) as start_squares,
    count(*) filter (where before.score > banded.high) as over_before,
    count(*) filter (where later.score > banded.high) as over_after
from session_step as step
inner join session_band as banded on banded.session_id = step.session_id
inner join ewe_score as before on before.session_id = step.session_id
inner join ewe_score as later on later.session_id = step.next_id and later.ewe = before.ewe
group by step.session_id, before."group"
