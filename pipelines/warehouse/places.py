"""Where things lie inside the data folder of a practice."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Places:
    """Paths below `home`; none of them needs to exist yet."""

    home: Path

    @property
    def warehouse(self) -> Path:
        """The database that the one writer opens."""
        return self.home / "warehouse.duckdb"

    @property
    def lock(self) -> Path:
        """Locked by whoever writes; holds a line saying who."""
        return self.home / "writer.lock"

    @property
    def archive(self) -> Path:
        """Every file ever offered, by the SHA-256 of its bytes."""
        return self.home / "archive"

    @property
    def journal(self) -> Path:
        """What was done with the archived files, in order: enough to rebuild the warehouse."""
        return self.archive / "journal.jsonl"

    @property
    def published(self) -> Path:
        """Generations of published tables and the pointer to the current one."""
        return self.home / "published"

    @property
    def pointer(self) -> Path:
        """Holds the name of the current generation; replaced atomically."""
        return self.published / "current"

    @property
    def releases(self) -> Path:
        """Every release that was made, and their ledger."""
        return self.home / "releases"

    @property
    def accounts(self) -> Path:
        """Who may sign in; absent while nobody has to."""
        return self.home / "accounts.sqlite"

    @property
    def audit(self) -> Path:
        """Who did what, one line each; only ever added to."""
        return self.home / "audit.jsonl"

    @property
    def release_ledger(self) -> Path:
        """Which farms stood in which class of which release: without it no further release is safe."""
        return self.releases / "ledger.json"

    @property
    def release_lock(self) -> Path:
        """Locked by whoever makes a release."""
        return self.releases / "release.lock"

    def released(self, release: str) -> Path:
        """The file of one release, kept so that members who sign in can be shown it."""
        return self.releases / f"{release}.duckdb"

    def generation(self, number: int) -> Path:
        """The file of one published generation."""
        return self.published / f"gen-{number}.duckdb"
