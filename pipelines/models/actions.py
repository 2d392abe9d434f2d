"""What to do with the identified ewes outside the tupping band, decided once for all that are alike."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from pipelines.models.ready import days_per_score
from pipelines.readiness.decisions import Days, Ewe, decide
from pipelines.settings import Settings


def decided(cases: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Rows of `staging/ewe_case.sql` with `action`, `reason` and `rescore_by`, a day, for 'rescore' only.

    Once ready-by is past, an old score says nothing to act on: the action is 'score again'.
    """
    today, pace = settings.today(), days_per_score(settings)
    found = [_decided(case, today, pace) for case in cases.to_dict("records")]
    action, reason, rescore_by = zip(*found, strict=True) if found else ((), (), ())
    again = pd.Series(pd.to_datetime(list(rescore_by)), index=cases.index)
    return cases.assign(action=list(action), reason=list(reason), rescore_by=again)


def _decided(case: dict[Any, Any], today: date, pace: float) -> tuple[str, str, date | None]:
    named = ("score", "target_low", "target_high", "chance_ready", "chance_on_best", "thin_sessions")
    ready_by = case["ready_by"].date()
    if ready_by < today:
        return "score again", f"she was to be ready by {ready_by}, which is past: score her again", None
    decision = decide(
        Ewe(*(case[name] for name in named)), Days(case["scored_on"].date(), today, ready_by, pace)
    )
    return decision.action, decision.reason, decision.rescore_by
