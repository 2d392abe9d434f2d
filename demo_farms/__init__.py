"""Invented farms of an invented valley; see `generate.py` for how their synthetic scores are made."""

from datetime import date
from pathlib import Path

FILES = Path(__file__).parent / "files"
"""Folder of the committed register and score-session CSVs, all in one level."""

AS_OF = date(2026, 9, 7)
"""The demo's own today: no file holds a later date, and most rams go in four to ten weeks after it."""
