-- One row is one file whose rows count: not refused, superseded, withdrawn or a repetition of another.
-- When the same bytes came under several names, the first of the names stands for them all, so that the
-- order of import leaves no trace.
select
    holder.file_id,
    holder.kind,
    min(named.file) as file
from source_file as holder
inner join source_file as named
    on named.sha256 = holder.sha256
    and named.status in ('imported', 'imported_with_problems', 'duplicate')
where holder.status in ('imported', 'imported_with_problems')
group by holder.file_id, holder.kind
