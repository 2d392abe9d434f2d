from datetime import date

import pytest

from dashboard.brief import words
from dashboard.components import words as screen


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0, "0 %"), (0.004, "under 1 %"), (0.234, "23 %"), (0.996, "over 99 %"), (1.0, "100 %")],
)
def test_a_share_is_never_rounded_into_certainty(share: float, said: str) -> None:
    assert words.percent(share).replace("\u00a0", " ") == said


def test_a_modelled_chance_is_never_said_to_be_certain() -> None:
    assert words.chance(1.0).replace("\u00a0", " ") == "over 99 %"
    assert words.chance(0.0).replace("\u00a0", " ") == "under 1 %"


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.61, 0.78, "between 61 % and 78 %"),
        (0.004, 0.05, "at most 5 %"),
        (0.91, 0.999, "at least 91 %"),
        (0.301, 0.304, "about 30 %"),
    ],
)
def test_an_interval_is_said_in_words_as_on_the_screens(low: float, high: float, said: str) -> None:
    assert words.between(low, high).replace("\u00a0", " ") == said
    assert words.between(low, high) == screen.between(low, high)


@pytest.mark.parametrize(
    ("score", "said"), [(2.0, "2"), (2.25, "2¼"), (2.5, "2½"), (2.75, "2¾"), (2.6, "2.60")]
)
def test_a_score_is_written_as_the_trade_writes_it(score: float, said: str) -> None:
    assert words.score(score) == said


def test_days_are_english_whatever_the_locale() -> None:
    # 3 November 2026 is a Tuesday: any calendar of 2026
    assert words.short_day(date(2026, 11, 3)).replace("\u00a0", " ") == "Tue 3 Nov"
    assert words.day(date(2026, 11, 3)).replace("\u00a0", " ") == "3 Nov 2026"


def test_long_text_is_cut_with_an_ellipsis() -> None:
    assert words.cut("Wester Balnahinchmore", 8) == "Wester…"
    assert words.cut("Short", 8) == "Short"
