"""Names, notes and the few words that have a fixed meaning."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pipelines.imports import catalogue
from pipelines.imports.problems import Fault, Kind

NAME_LENGTH = 100
NOTE_LENGTH = 1000
RECALIBRATION = "recalibration pair"
_FORMULA = re.compile(r"[=@]|[+\-].*[(!|]")
_SHEET_ERROR = re.compile(r"#(?:REF|DIV/0|VALUE|NAME|NUM|NULL|SPILL|CALC)[!?]|#N/A|#{3,}", re.IGNORECASE)
_TOTALS = re.compile(
    r"(?:grand |sub[- ]?)?totals?\b.*|(?:sum|mean|average|avg)s?(?: score)?:?", re.IGNORECASE
)
_STAGES = {
    "weaning": "weaning", "weaned": "weaning", "at weaning": "weaning",
    "pre tupping": "pre-tupping", "pretupping": "pre-tupping", "pre tup": "pre-tupping",
    "pre mating": "pre-tupping",
    "tupping": "tupping", "tup": "tupping", "mating": "tupping", "at tupping": "tupping",
    "scanning": "scanning", "scan": "scanning", "at scanning": "scanning",
    "lambing": "lambing", "lamb": "lambing", "at lambing": "lambing",
}  # fmt: skip
_SYSTEMS = {name: name for name in ("hill", "upland", "lowland")}
_GRAZING = {name: name for name in ("best", "ordinary", "holding", "hard")}


def text(cell: str, limit: int = NAME_LENGTH) -> str | Fault | None:
    """The words of a cell with blanks collapsed; `None` when blank. Formulas and damaged text are faults."""
    # str.split() without an argument would also swallow control characters, which are damage.
    words = cell if cell.isprintable() else cell.replace("\xa0", " ").replace("\t", " ")
    words = " ".join(filter(None, words.split(" ")))
    if not words:
        return None
    return _damage(words, limit) or words


def _damage(words: str, limit: int) -> Fault | None:
    if not words.isprintable():
        return catalogue.CONTROL_CHARACTER(words.encode("ascii", "backslashreplace").decode())
    if words[0] in "=@+-" and _FORMULA.match(words):
        return catalogue.FORMULA(words)
    if words[0] == "#" and _SHEET_ERROR.match(words):
        return catalogue.SHEET_ERROR(words)
    if words.count('"') % 2:
        return catalogue.STRAY_QUOTE(words)
    if "\ufffd" in words:
        return catalogue.LOST_CHARACTER(words)
    return catalogue.TOO_LONG(words, limit=limit) if len(words) > limit else None


def note(cell: str) -> str | Fault | None:
    """Free text of up to `NOTE_LENGTH` characters; the one note with a meaning is `RECALIBRATION`."""
    words = text(cell, NOTE_LENGTH)
    return RECALIBRATION if isinstance(words, str) and words.casefold() == RECALIBRATION else words


def name(cell: str, column: str) -> str | Fault:
    """The text of a column that must be filled in, and where a totals row would have its label."""
    words = text(cell)
    if words is None:
        return catalogue.MISSING(column=column)
    if isinstance(words, str) and is_total(words):
        return catalogue.TOTALS_ROW(words)
    return words


def is_total(cell: str) -> bool:
    """Whether the cell is the label of a totals row."""
    return _TOTALS.fullmatch(cell.strip()) is not None


def group(cell: str) -> str | Fault:
    """The name of a group; `ALL` is kept for the whole session."""
    words = name(cell, "group")
    if isinstance(words, str) and words.casefold() == "all":
        return catalogue.GROUP_RESERVED(words)
    return words


def stage(cell: str) -> str | Fault | None:
    """The stage of the year, in our spelling."""
    return _one_of(cell, _STAGES, catalogue.STAGE_UNKNOWN)


def system(cell: str) -> str | Fault:
    """Hill, upland or lowland."""
    found = _one_of(cell, _SYSTEMS, catalogue.SYSTEM_UNKNOWN)
    return catalogue.MISSING(column="system") if found is None else found


def grazing(cell: str) -> str | Fault | None:
    """The class of grazing the group is on."""
    return _one_of(cell, _GRAZING, catalogue.GRAZING_UNKNOWN)


def _one_of(cell: str, known: Mapping[str, str], unknown: Kind) -> str | Fault | None:
    words = text(cell)
    if not isinstance(words, str):
        return words
    return known.get(" ".join(words.casefold().replace("-", " ").split())) or unknown(words)
