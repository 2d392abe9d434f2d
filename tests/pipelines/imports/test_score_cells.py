"""Every notation of the contract, and what is not one."""

from __future__ import annotations

import pytest

from pipelines.imports.score_cells import WRITTEN, score


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2.5", 2.5), ("2,5", 2.5), ("2½", 2.5), ("2 ½", 2.5), ("2 1/2", 2.5), ("2  1/2", 2.5), ("2.50", 2.5),
        ("2+", 2.25), ("2.25", 2.25), ("2¼", 2.25), ("2 1/4", 2.25),
        ("3-", 2.75), ("3−", 2.75), ("2,75", 2.75), ("2¾", 2.75), ("2 3/4", 2.75),
        ("1", 1.0), ("5", 5.0), ("5.0", 5.0), ("4+", 4.25), ("5-", 4.75), (" 3 ", 3.0), ("3,00", 3.0),
    ],
)  # fmt: skip
def test_a_notation_of_the_trade_is_read_exactly(text, value):
    assert score(text) == value


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("7", "score_out_of_range"), ("0", "score_out_of_range"), ("5.25", "score_out_of_range"),
        ("5+", "score_out_of_range"), ("1-", "score_out_of_range"), ("25", "score_out_of_range"),
        ("-2", "score_out_of_range"), ("2.3", "score_not_a_step"), ("2,33", "score_not_a_step"),
        ("02-May", "score_turned_date"), ("May-02", "score_turned_date"), ("", "score_missing"),
        (" ", "score_missing"), ("two", "score_not_understood"), ("21/2", "score_not_understood"),
        ("2.", "score_not_understood"), (".5", "score_not_understood"), ("2-3", "score_not_understood"),
        ("2++", "score_not_understood"), ("½", "score_not_understood"), ("２", "score_not_understood"),
        ("2e0", "score_not_understood"), ("nan", "score_not_understood"),
    ],
)  # fmt: skip
def test_anything_else_is_named(text, code):
    assert score(text).code == code


def test_the_grammar_is_finite_and_covers_the_seventeen_scores():
    assert sorted(set(WRITTEN.values())) == [1 + quarter / 4 for quarter in range(17)]
    assert len(WRITTEN) < 250
