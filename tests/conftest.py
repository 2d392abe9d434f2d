"""Data folders for tests: an empty one, and one with the demo farms imported."""

from pathlib import Path

import pytest

from demo_farms import AS_OF, FILES
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as imported on its own day. Shared by all tests: only read it."""
    folder = tmp_path_factory.mktemp("demo")
    import_paths([FILES], Settings(home=folder, as_of=AS_OF))
    return folder
