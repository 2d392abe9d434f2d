"""A piece of advice as words and a table, for a page of paper or of the screen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of advice: sentences, then a table with its headings, then what to beware of and sources."""

    title: str
    sentences: tuple[str, ...]
    head: tuple[str, ...]
    lines: tuple[tuple[str, ...], ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
