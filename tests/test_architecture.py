"""The house has one way through; these tests read the source as text and keep it so."""

import ast
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "dashboard", "pipelines", "tests", "demo_farms"}
LONGEST_FILE = 400
LONGEST_FUNCTION = 60


def sources(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or "")


def importers_of(package: str, folder: str) -> set[str]:
    return {
        path.relative_to(ROOT).as_posix()
        for path in sources(folder)
        if any(name.split(".")[0] == package for name in imported(path))
    }


def test_pipelines_never_import_the_dashboard() -> None:
    assert importers_of("dashboard", "pipelines") == set()


def test_only_the_warehouse_imports_duckdb() -> None:
    outside = importers_of("duckdb", "pipelines") | importers_of("duckdb", "dashboard")
    assert {path for path in outside if not path.startswith("pipelines/warehouse/")} == set()


def test_statistics_and_readiness_know_no_database_and_no_files() -> None:
    forbidden = ("pipelines.warehouse", "pipelines.imports", "pipelines.queries", "pipelines.models")
    for path in sources("pipelines/statistics") + sources("pipelines/readiness"):
        assert not [name for name in imported(path) if name.startswith(forbidden)], path


def test_pages_import_only_dash_views_and_what_serves_them() -> None:
    allowed = ("__future__", "collections", "typing", "dash", "dashboard")
    for path in sources("dashboard/pages"):
        assert not [name for name in imported(path) if not name.startswith(allowed)], path


def test_nothing_but_the_agreed_layout_stands_at_the_top() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


def test_every_file_fits_one_subject() -> None:
    long = [
        path for folder in ("pipelines", "dashboard", "demo_farms", "tests") for path in sources(folder)
        if len(path.read_text(encoding="utf-8").splitlines()) > LONGEST_FILE
    ]  # fmt: skip
    assert long == []


def test_every_function_can_be_read_at_a_glance() -> None:
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for folder in ("pipelines", "dashboard", "demo_farms") for path in sources(folder)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno > LONGEST_FUNCTION
    ]  # fmt: skip
    assert long == []
