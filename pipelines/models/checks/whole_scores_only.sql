-- One row is one session in which a scorer gave at least ten ewes whole scores only, having used finer steps before.
-- Fewer ewes can be whole by chance: with every second score a half, ten are once in a thousand.
select
    s.farm, s.file_id, s.file, s.line, 'score' as "column", 'whole_scores_only' as code, 'warning' as severity,
    s.scorer as value,
    s.scorer || ' gave whole scores only on ' || cast(s.scored_on as varchar) || ' but finer ones before, on '
    || cast(max(before.scored_on) as varchar) || '. If the sheet was rounded, import it as it was scored.' as message,
    0 as held_rows
from marts.session_scorer as s
inner join marts.session_scorer as before
    on before.scorer = s.scorer and before.scored_on < s.scored_on and before.step < 1e0
where s.step = 1e0 and s.ewes >= 10
group by s.farm, s.file_id, s.file, s.line, s.scorer, s.scored_on
