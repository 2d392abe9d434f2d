"""The typeface of everything printed: Bitstream Vera, free, shipped in reportlab, embedded as a subset."""

from __future__ import annotations

import unicodedata
from functools import cache
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph

REGULAR, BOLD, ITALIC = "Vera", "VeraBd", "VeraIt"
GREY = Color(0.35, 0.35, 0.35)


@cache  # reportlab's own register of fonts is global and keeps them
def register() -> None:
    """Make the typeface known to reportlab."""
    for name in (REGULAR, BOLD, ITALIC, "VeraBI"):
        pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
    pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, ITALIC, "VeraBI")


def printable(text: str) -> str:
    """The text in glyphs that the typeface has: other accents are dropped, other scripts become '?'."""
    register()
    glyphs = pdfmetrics.getFont(REGULAR).face.charToGlyph
    return "".join(_glyph(char, glyphs) for char in unicodedata.normalize("NFC", text))


def _glyph(char: str, glyphs: dict[int, int]) -> str:
    if ord(char) in glyphs:
        return char
    if char.isspace():
        return " "
    plain = unicodedata.normalize("NFKD", char)[0]
    if ord(plain) in glyphs:
        return plain
    return "" if unicodedata.category(char).startswith("C") else "?"


def width(text: str, size: float, font: str = REGULAR) -> float:
    """Width of the printed text in points."""
    register()
    return float(pdfmetrics.stringWidth(printable(text), font, size))


def fitted(text: str, room: float, size: float, font: str = REGULAR) -> str:
    """The text, cut with … so that it fits into `room` points."""
    text = printable(text)
    if width(text, size, font) <= room:
        return text
    while text and width(text + "…", size, font) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def style(size: float, font: str = REGULAR, after: float = 0, leading: float = 1.38) -> ParagraphStyle:
    """A paragraph style in this typeface; `leading` is a multiple of the size."""
    register()
    return ParagraphStyle(
        f"{font}-{size}-{after}-{leading}", fontName=font, fontSize=size, leading=size * leading,
        spaceAfter=after, textColor=black, splitLongWords=1, spaceShrinkage=0,
    )  # fmt: skip


def paragraph(text: str, look: ParagraphStyle) -> Paragraph:
    """A paragraph of plain text: nothing in it is read as mark-up."""
    return Paragraph(escape(printable(text)), look)


def labelled(label: str, text: str, look: ParagraphStyle) -> Paragraph:
    """A paragraph that opens with a bold label."""
    return Paragraph(f"<b>{escape(printable(label))}</b> {escape(printable(text))}", look)
