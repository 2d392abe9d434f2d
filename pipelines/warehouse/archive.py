"""The archive: every file offered, kept under the SHA-256 of its bytes, never changed."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from pipelines.warehouse.durable import beside, flush_all


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
    for path in laid_down:
        path.replace(path.with_name(path.name.partition(".")[0]))
    flush_all({path.parent for path in laid_down})


def store(archive: Path, path: Path, sha256: str) -> bool:
    """Keep one file, in little memory however large; false, and nothing is kept, when it is another by now.

    As `lay_down` and `settle` do: a damaged copy is put right, and on return it survives a power cut.
    """
    kept = archived(archive, sha256)
    if kept.exists() and sha256_of_file(kept) == sha256:
        return True
    kept.parent.mkdir(parents=True, exist_ok=True)
    copy = beside(kept)
    shutil.copyfile(path, copy)
    if sha256_of_file(copy) != sha256:
        copy.unlink()
        return False
    settle([copy])
    return True


def _kept(archive: Path, name: str, content: bytes) -> bool:
    path = archived(archive, name)
    return path.exists() and path.read_bytes() == content


def _write_beside(path: Path, content: bytes) -> Path:
    laid_down = beside(path)
    try:
        laid_down.write_bytes(content)
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True)
        laid_down.write_bytes(content)
    return laid_down


def unfinished(archive: Path) -> Iterator[Path]:
    """Files that a killed import left half-written; only a holder of the writer's lock may remove them."""
    return archive.glob("??/*.tmp")
