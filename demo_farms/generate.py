"""Write the demo farms: `python -m demo_farms.generate` rewrites `demo_farms/files/`, always the same bytes.

Everything here is synthetic. Skarrowdale, its farms, scorers and flock marks (9900xx, 9901xx) are invented;
no score was ever taken from a ewe. True condition follows the growth model of `growth.py`, each recorded
score adds the scorer's own bias, an error of SD 0.2 and rounding to half or quarter scores. The spread is set
near the published one: of 266,405 scores on six New Zealand farms (Ridler 2022) 9.7 % were below 2.5 and 39 %
below 3.0 before breeding (here 12 % and 38 %); usual lowland flocks average 3.0 to 3.6 at tupping, as five
Irish ones did in 2023 (Teagasc). `tests/demo_farms/test_calibration.py` holds it there.

A row whose `note` is "recalibration pair" is a further scorer's reading of a ewe that the farm's own scorer
has scored the same day: it serves agreement between scorers and is no ewe of the session.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from random import Random

from demo_farms import FILES
from demo_farms.hands import HANDS
from demo_farms.layouts import Row, encoded, header, rows
from demo_farms.oddities import extra_files, with_broken_rows
from demo_farms.register import registers
from demo_farms.sessions import SEED, Season, valley
from demo_farms.valley import FARMS


def build() -> dict[str, bytes]:
    """Every demo file's bytes by its name."""
    seasons = valley()
    files = registers(seasons)
    for farm in FARMS:
        files |= _session_files([season for season in seasons if season.farm == farm])
    return files | extra_files(seasons, files)


def write(folder: Path) -> int:
    """Put the demo files into `folder` in place of the CSVs there, and return how many they are."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.csv"):
        old.unlink()
    files = build()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return len(files)


def _session_files(seasons: Sequence[Season]) -> dict[str, bytes]:
    """One farm's session files: one a session or one a season, as its hand has it."""
    farm = seasons[0].farm
    hand = HANDS[farm.hand]
    rng = Random(f"{SEED}/{farm.code}/files")
    lines: dict[str, list[Row]] = {}
    sessions = [session for season in seasons for session in season.sessions]
    for turn, session in enumerate(sessions):
        name = f"{farm.code}-{session.season if hand.season_file else session.scored_on}.csv"
        written = with_broken_rows(session, hand, rows(session, hand, turn, rng))
        lines[name] = lines.get(name, []) + written
    return {name: encoded([header(hand), *data], hand) for name, data in lines.items()}


if __name__ == "__main__":
    print(f"{write(FILES)} files written to {FILES}")
