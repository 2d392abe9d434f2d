"""Short ways to write a client file in a test."""

from __future__ import annotations

from datetime import date

import pytest

from pipelines.imports import Context, parse

TODAY = date(2026, 11, 25)
HEADINGS = "farm,scored_on,group,ewe,score"
REGISTER_HEADINGS = "farm,name,system,ewes,weaned_on,rams_in"


@pytest.fixture
def read():
    """Read a file given as text (or bytes): `read(text, farm="HB7")`."""

    def _read(content, **context):
        content = content.encode() if isinstance(content, str) else content
        return parse(content, Context(today=TODAY, **context))

    return _read


@pytest.fixture
def session(read):
    """Read rows of an individual session: `session("A,2026-08-14,Ewes,12,2.5")`."""
    return lambda *rows, **context: read("\n".join([HEADINGS, *rows]) + "\n", **context)


@pytest.fixture
def register(read):
    """Read rows of a register."""
    return lambda *rows: read("\n".join([REGISTER_HEADINGS, *rows]) + "\n")


@pytest.fixture
def codes():
    """Line and code of every problem."""
    return lambda parsed: [(problem.line, problem.code) for problem in parsed.problems]
