"""A practice that may release: the demo's published tables in a folder of their own."""

import base64
import re
import shutil
import zlib
from io import BytesIO
from pathlib import Path

import pandas as pd
import pytest
from pypdf import PdfReader

import demo_farms
from dashboard.meeting.handing import Asked, hand_out
from pipelines import queries
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.snapshot import Snapshot

GROUP = "Marl Vale"


@pytest.fixture(scope="session")
def loaded(demo_home: Path) -> Path:
    return demo_home


@pytest.fixture
def practice(loaded: Path, tmp_path: Path) -> Settings:
    """A copy of the demo practice, so that its ledger of releases starts empty."""
    shutil.copytree(loaded, tmp_path / "home")
    return Settings(home=tmp_path / "home", as_of=demo_farms.AS_OF)


@pytest.fixture
def release(practice, tmp_path):
    """Hands out a release of a group into a new folder."""

    def make(group=GROUP, season=None, folder="out"):
        snapshot = Snapshot(practice.home)
        try:
            return hand_out(Reader(snapshot), practice, Asked(group, season, tmp_path / folder, 5.0))
        finally:
            snapshot.close()

    return make


@pytest.fixture(scope="session")
def released_once(loaded, tmp_path_factory) -> Path:
    """The file of one release, not to be changed."""
    home = tmp_path_factory.mktemp("released")
    shutil.copytree(loaded / "published", home / "published")
    snapshot = Snapshot(home)
    done = hand_out(Reader(snapshot), Settings(home=home), Asked(GROUP, None, home / "out", 5.0))
    snapshot.close()
    return done.files[0]


@pytest.fixture
def released_file(released_once, tmp_path):
    """A copy of it for a test to change."""
    return Path(shutil.copy(released_once, tmp_path))


@pytest.fixture(scope="session")
def secrets(loaded: Path) -> set[str]:
    """Everything in the practice's tables that names a farm, a person, a ewe or a group."""
    snapshot = Snapshot(loaded)
    reader = Reader(snapshot)
    farms = reader.frame("select farm, name, contact, discussion_group from farm_season")
    ewes = reader.frame("select distinct ewe, scorer from ewe_history")
    pairs = queries.scorer_pairs(reader, "TARV10")
    snapshot.close()
    columns = [*(farms[name] for name in farms), *(ewes[name] for name in ewes), pairs["scorer_b"]]
    return {str(word) for column in columns for word in column.dropna()}


def readable(path: Path) -> bytes:
    """All bytes of a file, and of a PDF also its words and every stream unpacked."""
    raw = path.read_bytes()
    if path.suffix != ".pdf":
        return raw
    document = PdfReader(BytesIO(raw))
    said = " ".join(page.extract_text() for page in document.pages) + str(document.metadata)
    streams = re.findall(rb"stream\r?\n(.*?)endstream", raw, re.DOTALL)
    return b"\n".join([raw, said.encode(), *map(_unpacked, streams)])


def _unpacked(stream: bytes) -> bytes:
    """A stream of a PDF without its ASCII85 and zlib wrapping, or as it is."""
    stream = stream.strip()
    try:
        return zlib.decompress(base64.a85decode(stream[:-2]) if stream.endswith(b"~>") else stream)
    except (ValueError, zlib.error):
        return stream


def found_in(content: bytes, words: set[str]) -> set[str]:
    """Words that occur: long ones whatever their case, short ones as words of their own."""
    lowered, alone = content.lower(), set(re.findall(rb"[\w\x80-\xff]+", content))
    return {word for word in words if len(word) >= 5 and word.lower().encode() in lowered} | {
        word for word in words if len(word) < 5 and word.encode() in alone
    }


@pytest.fixture
def scan():
    """Secrets that occur in a file."""
    return lambda path, words: found_in(readable(path), words)


@pytest.fixture
def moved_register(tmp_path):
    """A register of 2026 in which one more farm is in the group."""

    def write(farm, group):
        rows = pd.read_csv(demo_farms.FILES / "register-2026.csv", dtype=str)
        rows = rows[rows["farm"] == farm].assign(discussion_group=group)
        path = tmp_path / "z-register-2026.csv"
        rows.to_csv(path, index=False)
        return path

    return write
