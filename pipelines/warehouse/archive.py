"""The archive: every file offered, kept under the SHA-256 of its bytes, never changed."""

from __future__ import annotations

import hashlib
import os
import shutil
import threading
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from pipelines.warehouse.durable import flush, flush_all


def sha256_of(content: bytes) -> str:
    """Name of this content in the archive."""
    return hashlib.sha256(content).hexdigest()


def sha256_of_file(path: Path) -> str:
    """Name of a file's content in the archive, in little memory however large the file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def archived(archive: Path, sha256: str) -> Path:
    """Where content of this name lies, whether or not it is there."""
    return archive / sha256[:2] / sha256


def lay_down(archive: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Write each content beside its place under its SHA-256 (the keys); `settle` what this returns.

    Content that is already there is compared and, where the disk has damaged it, laid down again.
    """
    new = {name: content for name, content in contents.items() if not _kept(archive, name, content)}
    return [_write_beside(archived(archive, name), content) for name, content in new.items()]


def settle(laid_down: Collection[Path]) -> None:
    """Bring what was laid down to its place; on return all of it survives a power cut."""
    flush_all(laid_down)
    for beside in laid_down:
        beside.replace(beside.with_name(beside.name.partition(".")[0]))
    flush_all({beside.parent for beside in laid_down})


def store_large(archive: Path, path: Path, sha256: str) -> bool:
    """As `store`, of one file and in little memory; false, and nothing is kept, when it is another by now."""
    kept = archived(archive, sha256)
    if kept.exists() and sha256_of_file(kept) == sha256:
        return True
    kept.parent.mkdir(parents=True, exist_ok=True)
    beside = kept.with_name(f"{kept.name}.{os.getpid()}.tmp")
    shutil.copyfile(path, beside)
    if sha256_of_file(beside) != sha256:
        beside.unlink()
        return False
    flush(beside)
    beside.replace(kept)
    flush(kept.parent)
    return True


def _kept(archive: Path, name: str, content: bytes) -> bool:
    path = archived(archive, name)
    return path.exists() and path.read_bytes() == content


def _write_beside(path: Path, content: bytes) -> Path:
    beside = path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.tmp")
    try:
        beside.write_bytes(content)
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_bytes(content)
    return beside


def unfinished(archive: Path) -> Iterator[Path]:
    """Files that a killed import left half-written; only a holder of the writer's lock may remove them."""
    return archive.glob("??/*.tmp")
