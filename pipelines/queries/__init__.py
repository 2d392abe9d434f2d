"""Everything that a screen or a report reads: one function a question, each answered within a scope of farms.

Frames have the published column names; dates are `datetime64`.
"""

from pipelines.queries.compare import compare_distribution, compare_sessions, funnel_points, scorer_pairs
from pipelines.queries.farm import (
    Farm,
    farm,
    farm_call,
    farm_distribution,
    farm_ewe_history,
    farm_ewes,
    farm_past,
    farm_readiness,
    farm_seasons,
    farm_sessions,
    farm_standings,
)
from pipelines.queries.files import (
    FileFigures,
    file_count,
    file_figures,
    file_list,
    file_page,
    files,
    first_problems,
    problems,
)
from pipelines.queries.practice import (
    About,
    Chosen,
    Overview,
    about,
    call_count,
    call_list,
    call_page,
    current_season,
    farms,
    overview,
    seasons,
)
from pipelines.queries.reader import Reader
from pipelines.queries.release import GroupTables, discussion_groups, group_tables

__all__ = [
    "About",
    "Chosen",
    "Farm",
    "FileFigures",
    "GroupTables",
    "Overview",
    "Reader",
    "about",
    "call_count",
    "call_list",
    "call_page",
    "compare_distribution",
    "compare_sessions",
    "current_season",
    "discussion_groups",
    "farm",
    "farm_call",
    "farm_distribution",
    "farm_ewe_history",
    "farm_ewes",
    "farm_past",
    "farm_readiness",
    "farm_seasons",
    "farm_sessions",
    "farm_standings",
    "farms",
    "file_count",
    "file_figures",
    "file_list",
    "file_page",
    "files",
    "first_problems",
    "funnel_points",
    "group_tables",
    "overview",
    "problems",
    "scorer_pairs",
    "seasons",
]
