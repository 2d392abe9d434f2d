"""Everything that a screen or a report reads: one function a question, each answered within a scope of farms.

Frames have the published column names; dates are `datetime64`.
"""

from pipelines.queries.compare import compare_distribution, compare_sessions, funnel_points, scorer_pairs
from pipelines.queries.farm import (
    Farm,
    farm,
    farm_distribution,
    farm_ewe_history,
    farm_ewes,
    farm_readiness,
    farm_seasons,
    farm_sessions,
    farm_standings,
)
from pipelines.queries.files import files, problems
from pipelines.queries.practice import About, about, call_list, current_season, farms, seasons
from pipelines.queries.reader import Reader

__all__ = [
    "About",
    "Farm",
    "Reader",
    "about",
    "call_list",
    "compare_distribution",
    "compare_sessions",
    "current_season",
    "farm",
    "farm_distribution",
    "farm_ewe_history",
    "farm_ewes",
    "farm_readiness",
    "farm_seasons",
    "farm_sessions",
    "farm_standings",
    "farms",
    "files",
    "funnel_points",
    "problems",
    "scorer_pairs",
    "seasons",
]
