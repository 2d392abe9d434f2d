"""The archive: every file offered, kept under the SHA-256 of its bytes, never changed."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from pipelines.warehouse.durable import flush_all


def sha256_of(content: bytes) -> str:
    """Name of this content in the archive."""
    return hashlib.sha256(content).hexdigest()


def archived(archive: Path, sha256: str) -> Path:
    """Where content of this name lies, whether or not it is there."""
    return archive / sha256[:2] / sha256


def store(archive: Path, contents: Mapping[str, bytes]) -> None:
    """Keep each content under its SHA-256 (the keys); on return all of it survives a power cut.

    Content that is already there is compared and, where the disk has damaged it, put right.
    """
    new = {name: content for name, content in contents.items() if not _kept(archive, name, content)}
    written = {name: _write_beside(archived(archive, name), content) for name, content in new.items()}
    flush_all(written.values())
    for name, beside in written.items():
        beside.replace(archived(archive, name))
    flush_all({archived(archive, name).parent for name in new})


def _kept(archive: Path, name: str, content: bytes) -> bool:
    path = archived(archive, name)
    return path.exists() and path.read_bytes() == content


def _write_beside(path: Path, content: bytes) -> Path:
    beside = path.with_name(f"{path.name}.{os.getpid()}.tmp")
    if not path.parent.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
    beside.write_bytes(content)
    return beside


def unfinished(archive: Path) -> Iterator[Path]:
    """Files that a killed import left half-written; only a holder of the writer's lock may remove them."""
    return archive.glob("??/*.tmp")
