-- One row is one identified ewe in one session.
select
    farm, season, ewe, scored_on, stage, "group", score, weight_kg, scorer, age, teeth, lame, udder, breed
from ewe_record
