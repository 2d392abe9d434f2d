"""Small frames with the published tables' columns, made by hand: two farms, a few ewes."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from argon2 import PasswordHasher
from dash.development.base_component import Component
from playwright.sync_api import Browser, sync_playwright

from dashboard.accounts import passwords
from dashboard.comparison import Compare
from dashboard.data import FarmPage, Files, Flocks
from pipelines.queries import FileFigures, Overview
from pipelines.statistics.funnel import Overdispersion

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
]  # fmt: skip
AS_OF = date(2026, 8, 20)
RAMS_IN = date(2026, 11, 5)
READY_BY = date(2026, 10, 22)


@pytest.fixture(scope="session", autouse=True)
def cheap_hashing() -> Iterator[PasswordHasher]:
    """Hashes passwords at next to no cost: hundreds of them at the program's own took a tenth of all tests.

    Gives what it stands in for; see `full_hashing`.
    """
    own = passwords._HASHER
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=64, parallelism=1))
        passwords.nobody.cache_clear()
        yield own


@pytest.fixture
def full_hashing(cheap_hashing: PasswordHasher, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Hashes passwords at the program's own cost."""
    monkeypatch.setattr(passwords, "_HASHER", cheap_hashing)
    passwords.nobody.cache_clear()
    yield
    passwords.nobody.cache_clear()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The one browser of a process: a second one beside it cannot be started."""
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is missing")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()


def _call(farm: str, name: str, status: str, **changes: object) -> dict[str, object]:
    row: dict[str, object] = {
        "farm": farm, "name": name, "season": 2026, "system": "hill", "discussion_group": "Upper dale",
        "region": "Invented", "urgency": 1, "status": status,
        "reason": "41 of 180 thin; needs 56 days, 63 left",
        "scored_on": date(2026, 8, 3), "stage": "pre-tupping", "ewes": 180, "flock_ewes": 420, "thin": 41,
        "thin_share": 41 / 180, "thin_share_low": 0.18, "thin_share_high": 0.29, "adjusted_thin_share": 0.21,
        "chance_too_many_thin": 0.99, "ready_share": 0.71, "ready_share_low": 0.61, "ready_share_high": 0.78,
        "days_needed_median": 56.0, "days_left": 63, "rams_in": RAMS_IN, "ready_by": READY_BY,
    }  # fmt: skip
    return row | changes


def _session(group: str, counts: tuple[int, int, int], **changes: object) -> dict[str, object]:
    thin, right, over = counts
    ewes = sum(counts)
    row: dict[str, object] = {
        "farm": "F1", "name": "High Lathe", "season": 2026, "scored_on": date(2026, 8, 3),
        "stage": "pre-tupping", "group": group, "ewes": ewes, "mean_score": 2.61, "thin": thin,
        "on_target": right, "over": over, "thin_share": thin / ewes,
        "thin_share_low": max(0, thin / ewes - 0.05),
        "thin_share_high": thin / ewes + 0.06, "on_target_share": right / ewes,
        "on_target_low": right / ewes - 0.07, "on_target_high": min(1, right / ewes + 0.05),
        "over_share": over / ewes, "over_low": max(0.0, over / ewes - 0.02), "over_high": over / ewes + 0.04,
        "target_low": 2.5, "target_high": 3.0, "system": "hill", "flock_ewes": 420,
    }  # fmt: skip
    return row | changes


@pytest.fixture
def calls() -> pd.DataFrame:
    unscored = dict.fromkeys(
        ("scored_on", "stage", "ewes", "thin", "thin_share", "thin_share_low", "thin_share_high")
    )
    return pd.DataFrame(
        [
            _call("F1", "High Lathe", "act now"),
            _call("F2", "Low Garth", "on course", system="lowland", discussion_group=None, urgency=2),
            _call("F3", "Nether Fold", "not scored", reason="not scored this season", urgency=3, **unscored),
        ]
    )


@pytest.fixture
def sessions() -> pd.DataFrame:
    return pd.DataFrame(
        [
            _session("ALL", (41, 129, 10)),
            _session("Shearlings", (21, 57, 2)),
            _session("Older ewes", (20, 72, 8)),
        ]
    )


@pytest.fixture
def scores() -> pd.DataFrame:
    cells = {
        "Shearlings": {2.0: 6, 2.25: 15, 2.5: 30, 2.75: 17, 3.0: 10, 3.25: 2},
        "Older ewes": {2.0: 20, 2.5: 50, 3.0: 22, 3.5: 8},
    }
    return pd.DataFrame(
        [
            {
                "farm": "F1", "season": 2026, "scored_on": date(2026, 8, 3), "stage": "pre-tupping",
                "group": group, "score": score, "ewes": ewes,
            }
            for group, counts in cells.items()
            for score, ewes in counts.items()
        ]
    )  # fmt: skip


@pytest.fixture
def readiness() -> pd.DataFrame:
    projected: dict[str, object] = {
        "farm": "F1", "season": 2026, "group": "ALL", "scored_on": date(2026, 8, 3), "ready_by": READY_BY,
        "days_left": 63, "ewes": 180, "ready_now_share": 0.716, "ready_share": 0.71, "ready_share_low": 0.61,
        "ready_share_high": 0.78, "ewes_to_gain": 41, "ewes_unlikely": 4, "days_needed_median": 26.0,
        "on_best_share": 0.88, "on_best_low": 0.8, "on_best_high": 0.94, "why_not": None,
        "grazing_named": True,
    }  # fmt: skip
    why = "cannot be projected because the rams went in before the session"
    nothing = dict.fromkeys(("ready_share", "ready_share_low", "ready_share_high", "on_best_share"))
    return pd.DataFrame(
        [
            projected,
            projected | {"group": "Shearlings", "ewes": 80},
            projected | nothing | {"group": "Gimmers", "why_not": why},
        ]
    )


@pytest.fixture
def ewes() -> pd.DataFrame:
    row: dict[str, object] = {
        "farm": "F1", "group": "Shearlings", "ewe": "826012345600001", "score": 2.25, "target_low": 2.5,
        "days_needed": 13.0, "days_left": 63, "chance_ready": 0.97, "action": "best grazing",
        "reason": "a quarter score short", "scored_on": date(2026, 8, 3), "found": 2, "of_action": 2,
    }  # fmt: skip
    return pd.DataFrame([row, row | {"ewe": "826012345600002", "chance_ready": None, "reason": None}])


@pytest.fixture
def farm_page(
    calls: pd.DataFrame,
    sessions: pd.DataFrame,
    scores: pd.DataFrame,
    readiness: pd.DataFrame,
    ewes: pd.DataFrame,
) -> FarmPage:
    register = pd.DataFrame(
        [
            {
                "farm": "F1", "season": 2026, "name": "High Lathe", "system": "hill", "ewes": 420,
                "weaned_on": date(2026, 7, 20), "rams_in": RAMS_IN, "ready_by": READY_BY, "breed": None,
                "region": None, "discussion_group": "Upper dale", "tupping_low": 2.75,
            }
        ]
    )  # fmt: skip
    past = sessions[sessions["group"] == "ALL"]
    return FarmPage(AS_OF, 0.1, 2026, register, calls.head(1), sessions, scores, readiness, ewes, past, past)


@pytest.fixture
def flocks(calls: pd.DataFrame) -> Flocks:
    points = calls.dropna(subset=["thin_share"])[["farm", "name", "system", "ewes", "thin_share"]]
    limits = pd.DataFrame(
        {
            "ewes": [10, 50, 200], "low_95": [0.0, 0.03, 0.06], "high_95": [0.3, 0.2, 0.15],
            "low_998": [0.0, 0.0, 0.04], "high_998": [0.5, 0.28, 0.19],
        }
    )  # fmt: skip
    statuses = {"act now": 1, "on course": 1, "not scored": 1}
    overview = Overview(statuses, {"pre-tupping": 2}, ("Upper dale",), 0.29)
    return Flocks(
        AS_OF,
        0.1,
        [2026, 2025],
        2026,
        overview,
        calls,
        len(calls),
        "pre-tupping",
        points,
        limits,
        0.11,
        Overdispersion(0.11, 3.2, 0.1),
    )


@pytest.fixture
def compare(sessions: pd.DataFrame, scores: pd.DataFrame) -> Compare:
    first = sessions.head(1)
    both = pd.concat(
        [first, first.assign(farm="F2", name="Low Garth", on_target_share=0.9, on_target_high=0.95)]
    )
    both = both.assign(
        breed=None, scorers="Tam", days_before=94, adjusted=[0.21, 0.2], adjusted_low=0.17,
        adjusted_high=0.27,
        chance=[0.94, 1.0], rank=[1, 2], rank_low=1, rank_high=2, to_move=float("nan"),
        change=[-0.08, float("nan")], change_low=[-0.15, float("nan")], change_high=[-0.01, float("nan")],
    )  # fmt: skip
    spread = pd.concat([scores, scores.assign(farm="F2")])
    return Compare(
        AS_OF,
        0.1,
        [2026, 2025],
        2026,
        "hill",
        "pre-tupping",
        [],
        3,
        both.reset_index(drop=True),
        spread,
        1,
        (),
    )


@pytest.fixture
def files() -> Files:
    row: dict[str, object] = {
        "file": "high-lathe-2026.csv", "sha256": "0" * 64, "imported_at": pd.Timestamp("2026-08-20 09:00"),
        "status": "imported", "rows_read": 80, "rows_accepted": 80, "rows_refused": 0, "kind": "scores",
        "layout": "individual", "superseded_by": None, "rows_waiting": 0, "given": "{}",
    }  # fmt: skip
    bad = {"file": "phone.csv", "status": "imported_with_problems", "rows_accepted": 79, "rows_refused": 1}
    problem = {
        "file": "phone.csv", "line": 12, "column": "BCS", "code": "score_out_of_range", "severity": "error",
        "value": "7", "message": "a score lies between 1 and 5; look at the record and correct it",
        "problems": 1, "errors": 1, "waits": 0, "sha256": "0" * 64, "given": "{}",
    }  # fmt: skip
    figures = FileFigures({"imported": 1, "imported_with_problems": 1}, 159, 1)
    return Files(AS_OF, figures, pd.DataFrame([row | bad, row]), 2, pd.DataFrame([problem]))


def _walk(part: object) -> list[object]:
    if isinstance(part, (list, tuple)):
        return [leaf for item in part for leaf in _walk(item)]
    if isinstance(part, Component):
        return [part, *_walk(getattr(part, "children", None))]
    return [] if part is None else [part]


@pytest.fixture
def text_of() -> object:
    """Everything a component tree says, as one string."""
    return lambda tree: " ".join(
        str(leaf) for leaf in _walk(tree) if not isinstance(leaf, Component)
    ).replace("\u00a0", " ")


@pytest.fixture
def parts_of() -> object:
    """All components of a tree."""
    return lambda tree: [leaf for leaf in _walk(tree) if isinstance(leaf, Component)]
