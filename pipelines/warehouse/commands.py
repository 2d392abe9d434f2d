"""Corrections as the adviser asks for them: one locked, published step each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time

from pipelines.imports.identity import canonical_ewe
from pipelines.imports.problems import Fault
from pipelines.settings import Settings
from pipelines.warehouse import corrections, ledger
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.publish import publish_if_stale
from pipelines.warehouse.writer import open_existing


@dataclass(frozen=True, slots=True)
class FileChanged:
    """A file that was withdrawn or brought back, with its rows and its copies under other names."""

    file: str
    standing: str
    rows: int
    copies: tuple[str, ...]
    generation: int

    def sentence(self) -> str:
        """In words."""
        copies = f" (and its copies {', '.join(self.copies)})" if self.copies else ""
        does = "count no more" if self.standing == "withdrawn" else "count again"
        return f"{self.file}{copies}: its {self.rows} rows {does}. The file stays in the archive."


@dataclass(frozen=True, slots=True)
class FileReplaced:
    """A file that now counts in the place of another, and what that changed."""

    file: str
    replaced_by: str
    difference: Difference
    generation: int

    def sentence(self) -> str:
        """In words."""
        return f"{self.replaced_by} counts in the place of {self.file}: {self.difference.sentence()}."


@dataclass(frozen=True, slots=True)
class Retagged:
    """A ewe with a new tag; `recorded` is false when that was known before, `scored` when she never was.

    `meant` asks after a farm whose code is like this one, of which nothing has come.
    """

    farm: str
    old: str
    new: str
    recorded: bool
    scored: bool
    meant: str = ""

    def sentence(self) -> str:
        """In words."""
        if not self.recorded:
            said = f"{self.farm}: that {self.old} is now {self.new} was recorded before."
        else:
            said = f"{self.farm}: ewe {self.old} is now {self.new}; her scores stay together."
        if self.scored:
            return said
        never = f"No ewe {self.old} of {self.farm} has been scored so far: check farm and tag."
        return " ".join(part for part in (said, never, self.meant) if part)


def withdraw_file(
    settings: Settings, file: str, wait_seconds: float, scored_on: date | None = None
) -> FileChanged:
    """Let a file and its copies count no more, and publish. Raises `WrongUseError` for an unknown file."""
    at = datetime.combine(settings.as_of, time()) if settings.as_of else datetime.now().replace(microsecond=0)
    with open_existing(settings.home, wait_seconds) as writer:
        known = corrections.find(writer.connection, file, ledger.LIVE, scored_on)
        corrections.withdraw(writer, known, at)
        copies = ledger.copies_of(writer.connection, known)
        generation = publish_if_stale(writer, settings)
    return FileChanged(known.file, "withdrawn", known.rows_accepted, copies, generation)


def reinstate_file(
    settings: Settings, file: str, wait_seconds: float, scored_on: date | None = None
) -> FileChanged:
    """Bring back a file that was withdrawn or replaced, and publish. Raises `WrongUseError` as above."""
    with open_existing(settings.home, wait_seconds) as writer:
        known = corrections.find(writer.connection, file, corrections.REINSTATABLE, scored_on)
        corrections.reinstate(writer, known)
        copies = ledger.copies_of(writer.connection, known)
        generation = publish_if_stale(writer, settings)
    return FileChanged(known.file, "reinstated", known.rows_accepted, copies, generation)


def replace_file(settings: Settings, old: str, new: str, wait_seconds: float) -> FileReplaced:
    """Let one imported file count in the place of another, and publish.

    Raises `WrongUseError` for an unknown file, for the same content, or for files of different kinds.
    """
    with open_existing(settings.home, wait_seconds) as writer:
        replaced = corrections.find(writer.connection, old, ledger.LIVE)
        known = corrections.find(writer.connection, new, ledger.LIVE)
        changes = corrections.supersede(writer, replaced, known)
        return FileReplaced(replaced.file, known.file, changes, publish_if_stale(writer, settings))


def retag_ewe(settings: Settings, farm: str, old: str, new: str, wait_seconds: float) -> Retagged:
    """Record a new tag and publish. Raises `WrongUseError` when it contradicts what was recorded."""
    old, new = _tag(old), _tag(new)
    with open_existing(settings.home, wait_seconds) as writer:
        recorded = corrections.retag(writer, farm, old, new, settings.today())
        scored = corrections.was_scored(writer.connection, farm, old)
        meant = corrections.meant_farm(writer.connection, farm)
        publish_if_stale(writer, settings)
    return Retagged(farm, old, new, recorded, scored, meant)


def _tag(written: str) -> str:
    """The identity that a tag has in imported files too."""
    tag = canonical_ewe(written)
    if isinstance(tag, Fault):
        raise WrongUseError(tag.message)
    return tag
