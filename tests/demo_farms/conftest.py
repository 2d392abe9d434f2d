from pathlib import Path

import pytest

from demo_farms import FILES
from tests.demo_farms.recount import Session, records, sessions


@pytest.fixture(scope="session")
def demo_sessions() -> dict[Session, dict[str, list[float]]]:
    """Scores of the committed files by session and group, read without the pipelines."""
    return sessions(FILES)


@pytest.fixture(scope="session")
def demo_rows() -> dict[Path, list[dict[str, str]]]:
    """Rows of the committed session files by file, under the contract's column names."""
    paths = sorted(path for path in FILES.glob("*.csv") if not path.name.startswith("register"))
    return {path: list(records(path)) for path in paths}
