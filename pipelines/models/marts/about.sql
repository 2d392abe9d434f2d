-- One row is the whole publication: the day that counts as today and the limit that farms are judged by.
select
    terms.as_of,
    cast(null as integer) as generation,
    cast(null as timestamp) as published_at,
    (select max(version) from schema_version) as schema_version,
    terms.thin_limit
from terms
