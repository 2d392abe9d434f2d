-- One row is the whole publication: the day that counts as today and the limit that farms are judged by, and
-- the settings that projections rest on (days per score; null: the reference’s error and loss, and holding as learned).
select
    terms.as_of,
    cast(null as integer) as generation,
    cast(null as timestamp) as published_at,
    (select max(version) from schema_version) as schema_version,
    terms.thin_limit,
    terms.best_median, terms.best_low, terms.best_high,
    terms.ordinary_median, terms.ordinary_low, terms.ordinary_high,
    terms.scorer_sd, terms.days_per_score_lost, terms.hold_when_right
from terms
