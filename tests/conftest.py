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


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """The table of journeys × widths × checks, from what the browser tests have noted."""
    noted = [
        value
        for report in terminalreporter.getreports("passed")
        for name, value in report.user_properties
        if name == "journey"
    ]
    if not noted:
        return
    widths = sorted({width for _journey, width, _check in noted}, reverse=True)
    terminalreporter.section("journeys × widths × checks")
    held = {tuple(one) for one in noted}  # a list once it has come from another process
    for journey, check in dict.fromkeys((journey, check) for journey, _width, check in noted):
        marks = "  ".join("✓" if (journey, width, check) in held else "–" for width in widths)
        terminalreporter.line(f"{marks}  {journey}: {check}")
    terminalreporter.line(f"columns: {', '.join(widths)}")
