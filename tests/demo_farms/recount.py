"""An independent recount of session CSVs to the counts of `session_summary`.

Standard library alone and none of `pipelines`: it has its own reading of the contract (headings, notations,
stages by date, bands), so that agreement with `tupping export session_summary` means something.
Reads a folder laid out like `demo_farms/files` (`register-*.csv` and session files, one level).
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

# low and high of the contract's table "The band a score is judged against"
BANDS = {
    "weaning": {"hill": (1.75, 3.0), "upland": (1.75, 3.0), "lowland": (2.25, 3.5)},
    "pre-tupping": {"hill": (2.5, 3.0), "upland": (2.75, 3.5), "lowland": (3.0, 4.0)},
    "tupping": {"hill": (2.5, 3.0), "upland": (2.75, 3.5), "lowland": (3.0, 4.0)},
    "scanning": {"hill": (2.0, 3.0), "upland": (2.5, 3.5), "lowland": (3.0, 4.0)},
    "lambing": {"hill": (1.75, 3.0), "upland": (2.25, 3.5), "lowland": (2.75, 4.0)},
}

_ALIASES = {
    "mob": "group", "management group": "group", "bcs": "score", "condition score": "score",
    "eid": "ewe", "tag": "ewe", "ear tag": "ewe", "ewe id": "ewe",
}  # fmt: skip


@dataclass(frozen=True)
class Count:
    """One group of one session (`group` = ALL: the whole session), as in `session_summary`."""

    farm: str
    season: int
    scored_on: date
    stage: str
    group: str
    ewes: int
    mean_score: float
    thin: int
    on_target: int
    over: int


@dataclass(frozen=True, order=True)
class Session:
    """One farm's scoring on one day at one stage."""

    farm: str
    season: int
    scored_on: date
    stage: str
    system: str


def recount(folder: Path) -> list[Count]:
    """Counts of every session in the folder, ordered by farm, season, day, stage and group."""
    counts = []
    for session, groups in sorted(sessions(folder).items()):
        every = [score for scores in groups.values() for score in scores]
        counts += [_count(session, name, scores) for name, scores in sorted({**groups, "ALL": every}.items())]
    return counts


def sessions(folder: Path) -> dict[Session, dict[str, list[float]]]:
    """The scores of each group of each session, one per ewe; a file sent twice counts once."""
    register = list(_register(folder))
    scores: dict[Session, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for farm, day, given_stage, group, score, ewes in _scores(folder):
        season = _season(register, farm, day)
        stage = given_stage or _stage(season, day)
        session = Session(farm, int(season["season"]), day, stage, season["system"])
        scores[session][group] += [score] * ewes
    return scores


def records(path: Path) -> Iterator[dict[str, str]]:
    """Rows of one file by the contract's column names; rows of another width than the headings left out."""
    text = text_of(path.read_bytes())
    first = text.partition("\n")[0]
    delimiter = next(mark for mark in "\t;," if mark in first)
    headings, *lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    names = [_name(heading) for heading in headings]
    return (dict(zip(names, line, strict=True)) for line in lines if len(line) == len(names))


def score_of(text: str) -> float | None:
    """A score as written; None when it is no score from 1 to 5 in quarter steps."""
    text = text.strip().replace(",", ".").replace("½", " 1/2")
    if half := re.fullmatch(r"(\d) +1/2", text):
        score = int(half[1]) + 0.5
    elif signed := re.fullmatch(r"(\d)([+-])", text):
        score = int(signed[1]) + (0.25 if signed[2] == "+" else -0.25)
    elif re.fullmatch(r"\d(\.\d+)?", text):
        score = float(text)
    else:
        return None
    return score if 1 <= score <= 5 and score * 4 % 1 == 0 else None


def day_of(text: str) -> date:
    """A day written ISO or day first."""
    if first := re.fullmatch(r"(\d\d)/(\d\d)/(\d{4})", text):
        return date(int(first[3]), int(first[2]), int(first[1]))
    return date.fromisoformat(text)


def text_of(content: bytes) -> str:
    """A file as text: UTF-16 by its mark, else UTF-8, else Windows-1252."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252")


def _name(heading: str) -> str:
    plain = " ".join(heading.lower().replace("_", " ").split())
    return _ALIASES.get(plain, plain.replace(" ", "_"))


def _register(folder: Path) -> Iterator[dict]:
    for path in sorted(folder.glob("register*.csv")):
        for row in records(path):
            weaned, rams = day_of(row["weaned_on"]), day_of(row["rams_in"])
            yield row | {"weaned_on": weaned, "rams_in": rams, "season": row.get("season") or rams.year}


def _scores(folder: Path) -> Iterator[tuple[str, date, str, str, float, int]]:
    """farm, day, stage as given, group, score and ewes; each file content once, whatever its name."""
    once = {hashlib.sha256(path.read_bytes()).digest(): path for path in sorted(folder.glob("*.csv"))}
    for path in once.values():
        if path.name.startswith("register"):
            continue
        for row in records(path):
            if row.get("note") == "recalibration pair" or re.search(r"E\+", row.get("ewe", "")):
                continue
            session = (row["farm"], day_of(row["scored_on"]), row.get("stage", ""), row["group"])
            for score, ewes in _readings(row):
                yield *session, score, ewes


def _readings(row: dict[str, str]) -> Iterator[tuple[float, int]]:
    if "score" in row:
        score = score_of(row["score"])
        if score is not None:
            yield score, int(row.get("count", 1))
        return
    for heading, cell in row.items():
        score = score_of(heading)
        if score is not None:
            yield score, int(cell or 0)


def _season(register: list[dict], farm: str, day: date) -> dict:
    """The farm's first season whose rams went in at most 160 days before, or go in under 260 days after."""
    rows = [
        row
        for row in register
        if row["farm"] == farm
        and row["rams_in"] - timedelta(days=260) < day <= row["rams_in"] + timedelta(days=160)
    ]
    return min(rows, key=lambda row: row["rams_in"])


def _stage(season: dict, day: date) -> str:
    since_weaning, since_rams = (day - season["weaned_on"]).days, (day - season["rams_in"]).days
    if -7 <= since_weaning <= 28:
        return "weaning"
    if since_weaning > 28 and since_rams <= -22:
        return "pre-tupping"
    if -21 <= since_rams <= 21:
        return "tupping"
    if 42 <= since_rams <= 111:
        return "scanning"
    if 112 <= since_rams <= 160:
        return "lambing"
    raise ValueError(f"{day} falls in no stage of the season with rams in on {season['rams_in']}")


def _count(session: Session, group: str, scores: list[float]) -> Count:
    low, high = BANDS[session.stage][session.system]
    thin = sum(score < low for score in scores)
    over = sum(score > high for score in scores)
    return Count(
        farm=session.farm,
        season=session.season,
        scored_on=session.scored_on,
        stage=session.stage,
        group=group,
        ewes=len(scores),
        mean_score=sum(scores) / len(scores),
        thin=thin,
        on_target=len(scores) - thin - over,
        over=over,
    )
