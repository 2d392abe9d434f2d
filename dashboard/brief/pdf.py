"""The visit brief on paper: two to four A4 pages, black and white, the same bytes for the same data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from dashboard.brief import lists, sections, typeface, words
from dashboard.brief.content import Brief

MARGIN = 17 * mm
FOOT = 15 * mm
WIDTH = A4[0] - 2 * MARGIN
Furniture = Callable[[Any, Any], None]


def render(brief: Brief) -> bytes:
    """The brief as a PDF."""
    head = brief.masthead
    pages = [
        *sections.first_page(brief, WIDTH),
        *sections.pictures(brief, WIDTH),
        *lists.drawing_out(brief, WIDTH),
        *sections.talking(brief, WIDTH),
    ]
    footing = f"{words.cut(head.name, 60)} · visit brief {head.season} · data as of {words.day(head.as_of)}"
    return document(f"Visit brief: {head.name}", pages, footer(footing))


def document(title: str, story: Sequence[Any], furniture: Furniture) -> bytes:
    """A story laid out on A4; invariant, so that equal data give equal bytes."""
    typeface.register()
    out = BytesIO()
    frame = Frame(MARGIN, FOOT, WIDTH, A4[1] - FOOT - 13 * mm, 0, 0, 0, 0, id="body")
    template = BaseDocTemplate(
        out, pagesize=A4, invariant=1, title=typeface.printable(title), author="tupping-readiness",
        pageTemplates=[PageTemplate(id="page", frames=[frame], onPage=furniture)],
    )  # fmt: skip
    template.build(list(story))
    return out.getvalue()


def footer(words_left: str) -> Furniture:
    """What every page carries at its foot: whose it is, and its number."""

    def draw(canvas: Any, document: Any) -> None:
        canvas.saveState()
        canvas.setFont(typeface.REGULAR, 6.5)
        canvas.setFillColor(typeface.GREY)
        canvas.drawString(MARGIN, 9 * mm, typeface.fitted(words_left, WIDTH - 50, 6.5))
        canvas.drawRightString(A4[0] - MARGIN, 9 * mm, f"page {document.page}")
        canvas.restoreState()

    return draw
