"""Whatever happens to a file: accepted rows are equal, or their line is named, or the file is refused."""

from __future__ import annotations

from collections import Counter

import pytest

from pipelines.imports import Context, parse
from tests.pipelines.imports.torture import TODAY, cleans, judge, table, written
from tests.pipelines.imports.torture_all import all_cases


@pytest.fixture(scope="module")
def verdicts():
    """Every case of every family with its outcome."""
    return [(case.family, case.name, judge(case)) for case in all_cases()]


def test_no_damage_is_silent(verdicts):
    assert [verdict for verdict in verdicts if verdict[2].startswith("SILENT")] == []


def test_there_are_at_least_two_thousand_cases_and_every_outcome_occurs(verdicts):
    outcomes = Counter(outcome for _, _, outcome in verdicts)
    assert outcomes.total() >= 2000
    assert min(outcomes["equal"], outcomes["named"], outcomes["refused"]) > 100


def test_the_table_counts_every_case():
    clean = next(iter(cleans()))
    cases = [written("clean", clean.name, clean.lines())] * 3
    assert table(cases).splitlines()[-1].split() == ["total", "3", "3", "0", "0", "0"]


@pytest.mark.parametrize("clean", list(cleans()), ids=lambda clean: clean.name)
def test_an_undamaged_file_is_accepted_whole_without_a_word(clean):
    case = written("clean", clean.name, clean.lines())
    parsed = parse(case.content, Context(today=TODAY))
    assert judge(case, parsed) == "equal"
    assert (parsed.rows_accepted, parsed.rows_refused, parsed.problems) == (len(clean.rows), 0, ())


def test_the_judge_calls_a_changed_row_silent():
    """The judge itself must be able to fail."""
    clean = next(iter(cleans()))
    lines = clean.lines()
    case = written("clean", "score changed", lines)
    changed = case.content.replace(b",2.5,", b",3.5,")
    assert judge(case, parse(changed, Context(today=TODAY))) == "SILENT line 2"


def test_the_judge_calls_a_lost_row_silent():
    clean = next(iter(cleans()))
    case = written("clean", "row lost", clean.lines())
    shorter = b"\n".join(case.content.split(b"\n")[:-2]) + b"\n"
    assert judge(case, parse(shorter, Context(today=TODAY))) == "SILENT line 6"
