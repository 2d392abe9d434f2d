"""A file of several pieces, and the registers of its seasons."""

from datetime import date, timedelta
from pathlib import Path

from .conftest import REGISTER

ROWS = 18_000
PIECE_BYTES = 350_000  # three pieces


def text(last: str = "", flock: int = 0) -> str:
    """Many sessions of 300 ewes, with a row that is refused in the middle; another `flock` is other ewes."""
    days = [date(year, 7, 28) + timedelta(days=day) for year in (2018, 2019) for day in range(30)]
    rows = [
        f"NORTHBARN,{days[at // 300]},ewes,826012{flock:04}{at % 300 + 1:05},{2 + at % 5 / 2}\n"
        for at in range(ROWS)
    ]
    rows[ROWS // 2] = "NORTHBARN,2019-08-01,ewes,77,9\n"
    return "farm,scored_on,group,ewe,score\n" + "".join(rows) + last


def write_registers(folder: Path) -> None:
    """The registers of both seasons."""
    for year in (2018, 2019):
        (folder / f"register-{year}.csv").write_text(REGISTER.replace("2026", str(year)))
