"""What each page needs, read through the visitor's own scope; the only place where pages meet `queries`."""

from dashboard.data.farm_page import FarmPage, HeldBack, arrived, farm, meant, visit
from dashboard.data.published import NOTHING, attach, other_day, reader, settings, snapshot
from dashboard.data.records import Files, Past, Scorers, files, groups, past, scorers
from dashboard.data.season import PAGE_ROWS, Flocks, chosen, compare, control_limits, flocks

__all__ = [
    "NOTHING",
    "PAGE_ROWS",
    "FarmPage",
    "Files",
    "Flocks",
    "HeldBack",
    "Past",
    "Scorers",
    "arrived",
    "attach",
    "chosen",
    "compare",
    "control_limits",
    "farm",
    "files",
    "flocks",
    "groups",
    "meant",
    "other_day",
    "past",
    "reader",
    "scorers",
    "settings",
    "snapshot",
    "visit",
]
