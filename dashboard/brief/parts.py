"""A piece of advice as words and a table, for a page of paper or of the screen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pipelines.reference import Figure


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of advice: sentences, then a table with its headings, then what to beware of and sources."""

    title: str
    sentences: tuple[str, ...]
    head: tuple[str, ...] = ()
    lines: tuple[tuple[str, ...], ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def source(figure: Figure) -> str:
    """Where a figure of the reference comes from, and how it is known: 'AFRC 1993 (from memory)'."""
    return f"{figure.source} ({figure.how_known})"


def sources(figures: Iterable[Figure]) -> str:
    """The sources of several figures, each once, in their order."""
    return "; ".join(dict.fromkeys(source(figure) for figure in figures))
