"""Expected texts are written out by hand."""

from datetime import date, datetime

import pandas as pd
import pytest

from dashboard.components import share, words


def plain(text: str) -> str:
    """With ordinary spaces, as the no-break space before % cannot be told from one here."""
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.614, "61 %"),
        (0.0, "0 %"),
        (1.0, "100 %"),
        (0.001, "under 1 %"),
        (0.999, "over 99 %"),
        (None, "not known"),
        (float("nan"), "not known"),
    ],
)
def test_a_share_reads_as_a_percentage_and_never_as_nothing(value: float | None, text: str) -> None:
    assert plain(words.percent(value)) == text


def test_an_interval_reads_as_a_range_or_as_one_figure() -> None:
    assert plain(words.between(0.61, 0.78)) == "between 61 % and 78 %"
    assert plain(words.between(0.611, 0.613)) == "about 61 %"
    assert plain(words.between(None, 0.5)) == "not known"


def test_an_interval_from_nothing_or_to_all_reads_as_one_end() -> None:
    assert plain(words.between(0.001, 0.55)) == "at most 55 %"
    assert plain(words.between(0.8, 1.0)) == "at least 80 %"
    assert plain(words.between(0.0, 1.0)) == "between 0 % and 100 %"


@pytest.mark.parametrize(
    "value", [date(2026, 8, 3), datetime(2026, 8, 3, 9), pd.Timestamp("2026-08-03"), "2026-08-03"]
)
def test_a_day_reads_the_same_whatever_kind_of_date_it_is(value: object) -> None:
    assert words.day(value) == "3 Aug 2026"
    assert words.short_day(value) == "3 Aug"


def test_a_missing_day_is_said_to_be_not_known() -> None:
    assert words.day(pd.NaT) == words.short_day(None) == "not known"


def test_counts_agree_with_their_noun() -> None:
    assert words.count(1, "ewe") == "1 ewe"
    assert words.count(1204, "ewe") == "1,204 ewes"
    assert words.count(None, "ewe") == "not known ewes"


@pytest.mark.parametrize(
    ("days", "text"),
    [(63, "in 63 days"), (1, "in 1 day"), (0, "today"), (-5, "5 days ago"), (None, "not known")],
)
def test_days_left_read_as_words(days: int | None, text: str) -> None:
    assert words.days_away(days) == text


def test_a_reason_becomes_one_sentence() -> None:
    assert words.sentence("41 of 180 thin") == "41 of 180 thin."
    assert words.sentence("not scored.") == "Not scored."
    assert words.sentence(" ") == ""


def test_a_share_carries_its_interval_and_number() -> None:
    assert plain(share.in_words(0.23, 0.18, 0.29, 180)) == "23 % (18–29 %) of 180 ewes"
    assert share.in_words(None, None, None, 180) == "not known"
