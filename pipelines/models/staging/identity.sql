-- One row is one old identity of a ewe and the one she has now, however often she was retagged.
with recursive latest as (
    select farm, old_ewe, new_ewe
    from (
        select
            farm, old_ewe, new_ewe,
            row_number() over (partition by farm, old_ewe order by noted_on desc nulls last, new_ewe desc) as place
        from retag
    ) as noted
    where place = 1 and old_ewe <> new_ewe
),

chain as (
    select farm, old_ewe, new_ewe, 1 as steps from latest
    union all
    -- the limit ends a ring of retags, which only a slip of the pen can make
    select chain.farm, chain.old_ewe, latest.new_ewe, chain.steps + 1
    from chain
    inner join latest on latest.farm = chain.farm and latest.old_ewe = chain.new_ewe
    where chain.steps < 20
)

select farm, old_ewe, new_ewe as ewe
from (
    select chain.*, row_number() over (partition by farm, old_ewe order by steps desc) as place from chain
) as walked
where place = 1
