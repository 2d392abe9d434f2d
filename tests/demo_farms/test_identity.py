"""Ewes keep their identity from session to session, whatever form of the tag was read that day."""

import re
from collections import Counter, defaultdict
from itertools import pairwise
from statistics import correlation

import pytest

from tests.demo_farms.recount import day_of, score_of


def _identity(tag):
    """Flock mark and number for the three long forms, else the farm's own tag."""
    digits = re.sub(r"\D", "", tag)
    return digits[-11:] if len(digits) >= 11 else tag


@pytest.fixture(scope="module")
def histories(demo_rows):
    """Scores of each identified ewe, by farm and ewe, in order of day; only the farm's own scorer."""
    found = defaultdict(dict)
    for rows in demo_rows.values():
        for row in rows:
            if "ewe" in row and not row.get("note") and score_of(row["score"]) and "E+" not in row["ewe"]:
                found[row["farm"], _identity(row["ewe"])][day_of(row["scored_on"])] = score_of(row["score"])
    return {ewe: [days[day] for day in sorted(days)] for ewe, days in found.items()}


def test_most_ewes_of_fully_scored_flocks_are_met_again(histories):
    times = [len(scores) for (farm, _), scores in histories.items() if farm in ("QUIL01", "CRUG09", "HAWK20")]
    assert sum(n >= 3 for n in times) / len(times) > 0.75
    assert max(times) >= 10


def test_a_ewe_is_nearer_her_own_last_score_than_the_flocks_spread(histories):
    steps = [step for scores in histories.values() for step in pairwise(scores)]
    before, after = zip(*steps, strict=True)
    assert correlation(before, after) > 0.5
    assert sum(abs(a - b) > 1.5 for a, b in steps) / len(steps) < 0.002


def test_each_form_of_tag_is_in_use(demo_rows):
    forms = [r"\d{15}", r"0\d{15}", r"UK 0 99\d{4} \d{5}", r"[A-Z]\d{3,4}", r"8\.26099E\+14"]
    tags = [row["ewe"] for rows in demo_rows.values() for row in rows if "ewe" in row]
    counts = Counter(form for tag in tags for form in forms if re.fullmatch(form, tag))
    assert set(counts) == set(forms)
    assert sum(counts.values()) == len(tags)


def test_every_long_tag_carries_an_invented_flock_mark(histories):
    marks = {ewe[:6] for _, ewe in histories if len(ewe) == 11}
    assert all(re.fullmatch("0?990[01][0-9]{2}", mark) for mark in marks)


def test_ewes_are_sold_and_bought_between_seasons(histories, demo_rows):
    tags = defaultdict(set)
    for path, rows in demo_rows.items():
        if path.name.startswith("QUIL01") and "recalibration" not in path.name:
            for row in rows:
                tags[row["scored_on"][:4]].add(_identity(row["ewe"]))
    assert len(tags["2025"] - tags["2026"]) > 15  # sold
    assert len({ewe for ewe in tags["2026"] - tags["2025"] if ewe.startswith("990101")}) > 5  # bought


def test_some_ewes_of_the_ailing_flock_stay_thin_throughout(histories):
    long = [scores for (farm, _), scores in histories.items() if farm == "FERR06" and len(scores) >= 6]
    thin_throughout = sum(max(scores) <= 2.5 for scores in long)
    others = [scores for (farm, _), scores in histories.items() if farm == "QUIL01" and len(scores) >= 6]
    assert thin_throughout / len(long) > 0.07
    assert sum(max(scores) <= 2.5 for scores in others) / len(others) < 0.02
