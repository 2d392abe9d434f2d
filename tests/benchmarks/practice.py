"""A practice of any size, written straight into the warehouse's tables, for the benchmarks beside this file.

Reading tens of thousands of CSV files is what import_files.py measures; here only the answers matter.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from pipelines.settings import Settings
from pipelines.warehouse.publish import publish
from pipelines.warehouse.writer import Writer, open_writer

AS_OF = date(2026, 9, 7)
LAST = AS_OF.year
SYSTEMS = ("hill", "upland", "lowland")
MEAN = {"hill": 2.6, "upland": 2.9, "lowland": 3.2}
SESSIONS = {"weaning": -95, "pre-tupping": -60, "tupping": -5, "scanning": 90}  # days from rams in
SCORES = np.arange(1.5, 4.75, 0.5)
GROUPS = ("Ewes", "Shearlings")
TAGGED_EVERY, TAGGED_SEASONS = 20, 2  # one farm in so many has tags, in the latest seasons
SMALL, LARGE = ("SMALL", 90), ("LARGE", 900)  # two farms alike but for their tagged ewes


def write_practice(home: Path, farms: int, seasons: int = 10) -> None:
    """Publish `farms` farms, `seasons` seasons of four sessions each, and the farms SMALL and LARGE."""
    dice = np.random.default_rng(20260907)
    register = _register(farms, seasons, dice)
    sessions = _sessions(register)
    tagged = sessions["tagged"]
    rows = [_tallies(sessions[~tagged], dice), *(_tags(one, dice) for _, one in sessions[tagged].iterrows())]
    with open_writer(home) as writer:
        _insert(writer, "score_row", pd.concat(rows, ignore_index=True))
        _insert(writer, "register_row", register.drop(columns=["tagged", "mean", "number"]))
        _insert(writer, "source_file", _ledger(sessions))
        _insert(writer, "file_problem", _problems(sessions))
        publish(writer, Settings(home=home, as_of=AS_OF))


def _insert(writer: Writer, table: str, frame: pd.DataFrame) -> None:
    writer.connection.register("incoming", frame)
    writer.connection.execute(f"insert into {table} by name select * from incoming")
    writer.connection.unregister("incoming")


def _register(farms: int, seasons: int, dice: np.random.Generator) -> pd.DataFrame:
    numbers = np.arange(farms)
    one = pd.DataFrame(
        {
            "farm": [f"F{number:04}" for number in numbers],
            "name": [f"Invented farm {number}" for number in numbers],
            "system": [SYSTEMS[number % 3] for number in numbers],
            "ewes": dice.integers(80, 900, farms),
            "discussion_group": [f"Group {number // 12}" for number in numbers],
            "tagged": numbers % TAGGED_EVERY == 0,
            "mean": dice.normal(0, 0.15, farms),
        }
    )
    alike = {"system": "upland", "discussion_group": "Group 0", "tagged": True, "mean": 0.0}
    pair = [{"farm": code, "name": code.title(), "ewes": ewes} | alike for code, ewes in (SMALL, LARGE)]
    one = pd.concat([one, pd.DataFrame(pair)], ignore_index=True)
    one["number"] = one.index
    years = [
        one.assign(
            season=LAST - back,
            rams_in=date(LAST - back, 11, 5),
            tagged=one["tagged"] & (back < TAGGED_SEASONS),
        )
        for back in range(seasons)
    ]
    every = pd.concat(years, ignore_index=True)
    weaned = [date(year, 8, 1) for year in every["season"]]
    return every.assign(file_id=0, line=np.arange(len(every)) + 2, weaned_on=weaned)


def _sessions(register: pd.DataFrame) -> pd.DataFrame:
    """One row per farm, season and session that has been held by the practice's today."""
    held = [
        register.assign(stage=stage, scored_on=pd.to_datetime(register["rams_in"]) + pd.Timedelta(days=days))
        for stage, days in SESSIONS.items()
    ]
    every = pd.concat(held, ignore_index=True)
    every = every[every["scored_on"] <= pd.Timestamp(AS_OF)].reset_index(drop=True)
    return every.assign(file_id=np.arange(len(every)) + 1, scored_on=every["scored_on"].dt.date)


def _centre(sessions: pd.DataFrame) -> np.ndarray:
    return sessions["mean"].to_numpy() + sessions["system"].map(MEAN).to_numpy()


def _tallies(sessions: pd.DataFrame, dice: np.random.Generator) -> pd.DataFrame:
    """Counts at each half score, by group, of sessions without tags."""
    weight = np.exp(-(((SCORES - _centre(sessions)[:, None]) / 0.5) ** 2) / 2)
    shares = weight / weight.sum(axis=1, keepdims=True)
    parts = []
    for line, group in enumerate(GROUPS):
        counts = dice.multinomial(60, shares)
        at, cell = np.nonzero(counts)
        part = sessions.iloc[at][["file_id", "farm", "scored_on", "stage"]].reset_index(drop=True)
        score, count = SCORES[cell], counts[at, cell]
        parts.append(part.assign(line=cell + 2 + 20 * line, group=group, score=score, count=count))
    return pd.concat(parts, ignore_index=True).assign(ewe=None)


def _tags(session: pd.Series, dice: np.random.Generator) -> pd.DataFrame:
    """Every ewe of the farm by its tag."""
    ewes = int(session["ewes"])
    centre = session["mean"] + MEAN[session["system"]]
    score = np.clip(np.round(dice.normal(centre, 0.5, ewes) * 2) / 2, 1, 5)
    columns = {name: session[name] for name in ("file_id", "farm", "scored_on", "stage")}
    numbers = np.arange(ewes)
    tags = [f"8260{session['number']:06}{number:05}" for number in numbers]
    groups = [GROUPS[number % 2] for number in numbers]
    return pd.DataFrame(
        {**columns, "line": numbers + 2, "group": groups, "ewe": tags, "score": score, "count": 1}
    )


def _ledger(sessions: pd.DataFrame) -> pd.DataFrame:
    files = pd.DataFrame(
        {
            "file_id": sessions["file_id"],
            "file": sessions["farm"] + "-" + sessions["scored_on"].astype(str) + ".csv",
            "kind": "scores",
            "layout": np.where(sessions["tagged"], "individual", "tally"),
            "status": np.where(sessions["file_id"] % 50 == 0, "imported_with_problems", "imported"),
            "rows_refused": (sessions["file_id"] % 50 == 0).astype(int),
        }
    )
    register = {
        "file_id": 0,
        "file": "register.csv",
        "kind": "register",
        "layout": "register",
        "status": "imported",
        "rows_refused": 0,
    }
    every = pd.concat([pd.DataFrame([register]), files], ignore_index=True)
    return every.assign(
        sha256=[f"{number:064x}" for number in every["file_id"]],
        imported_at=pd.Timestamp(AS_OF),
        read_as_of=AS_OF,
        context_json="{}",
        rows_read=20,
        rows_accepted=20,
    )


def _problems(sessions: pd.DataFrame) -> pd.DataFrame:
    numbers = sessions["file_id"][sessions["file_id"] % 50 == 0]
    return pd.DataFrame({"file_id": numbers, "line": 9, "column": "score"}).assign(
        code="score_out_of_range",
        severity="error",
        value="7",
        message="The score 7 is outside 1 to 5. Correct it on the row.",
    )
