-- One row is one reason why what arrived of a farm and season cannot be judged, the one to mend first on place 1.
select
    r.farm, r.season,
    cast(row_number() over (
        partition by r.farm, r.season order by r.turn, r.file, r.line nulls first, r.code, r.subject, r.why
    ) as integer) as place,
    max(r.name) over (partition by r.farm, r.season) as name,
    r.code, cast(r.subject as varchar) as subject, cast(r.why as varchar) as why, cast(r.remedy as varchar) as remedy,
    r.file, r.line
from held_reason as r
