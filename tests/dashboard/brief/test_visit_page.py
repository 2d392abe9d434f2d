"""The plan of a visit as a page, from one farm's tables."""

from collections.abc import Callable
from typing import Any

import pytest

from dashboard.brief.choices import Choices
from dashboard.brief.tables import Tables
from dashboard.components import links
from dashboard.figures import precision
from dashboard.views import visit

Make = Callable[..., Tables]
Text = Callable[[object], str]


def said(choices: Choices, data: Tables | str, text_of: Text) -> str:
    return " ".join(text_of(visit.page("H/1", choices, data)).replace("\u00a0", " ").split())


def test_the_page_answers_the_four_questions(tables: Make, text_of: Text) -> None:
    words = said(Choices(), tables(), text_of)
    for title in ("How many to score next time", "When to stop at the race", "Thin ewes worth examining",
                  "Feed for the gain"):  # fmt: skip
        assert title in words
    assert "of 420 ewes to know the share thin within ± 10 points" in words
    assert "decided with the flock’s own vet" in words
    assert "all its figures" in words  # AFRC 1993 is from memory, and the page says so


def test_what_is_chosen_is_answered(tables: Make, text_of: Text) -> None:
    words = said(Choices(within=5, weight=62, negatives=6), tables(), text_of)
    assert "within ± 5 points" in words and "For ewes of 62 kg" in words and "6 negatives" in words


def test_a_farm_that_cannot_be_planned_says_why(tables: Make, text_of: Text) -> None:
    words = said(Choices(), "no farm 'X' in the register: import the farm register", text_of)
    assert "No farm 'X' in the register" in words and "see all flocks" in words


@pytest.mark.parametrize("extreme", [{"scored": False}, {"groups": 14}, {"tagged": 0}], ids=str)
def test_extremes_leave_no_blank(extreme: dict[str, Any], tables: Make, text_of: Text) -> None:
    words = said(Choices(), tables(**extreme), text_of)
    assert "nan" not in words.lower().split() and "None" not in words.split()


def test_the_picture_marks_what_was_chosen() -> None:
    drawn = precision.precision(((10, 0.2), (100, 0.05), (400, 0.0)), 60, 0.07)
    assert drawn.data[1]["x"] == [0, 60, 60] and drawn.data[1]["y"][:2] == [7.0, 7.0]
    assert "points" in drawn.layout["yaxis"]["title"]["text"]


def test_a_link_to_the_phones_page_names_farm_group_and_line() -> None:
    address = links.entry("H/1", "Top & back", 2.75)
    assert address == "/enter/?farm=H%2F1&group=Top+%26+back&low=2.75"
