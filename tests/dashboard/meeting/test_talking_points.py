import pandas as pd
import pytest

from pipelines.release import talking
from pipelines.release.build import Release

FIGURES = ["letter", "seasons_ago", "stage", "weeks_from", "weeks_to", "on_target_share"]


def release(shares, distribution=()):
    """Letters with their share on target at weaning and pre-tupping."""
    rows = [
        (letter, 0, stage, weeks, weeks, share)
        for letter, two in shares.items()
        for (stage, weeks), share in zip((("weaning", -12), ("pre-tupping", -6)), two, strict=True)
        if share is not None
    ]
    cells = pd.DataFrame(distribution or [(letter, "pre-tupping", 2.5, 3.0, 1.0) for letter in shares])
    cells.columns = ["letter", "stage", "score_from", "score_to", "share"]
    letters = pd.DataFrame({"letter": list(shares), "system": "hill", "flock_size": "any size"})
    return Release("0" * 16, 2026, letters, pd.DataFrame(rows, columns=FIGURES), cells)


def test_the_largest_mover_may_have_fallen_and_the_most_improved_has_risen():
    mover, _, improved = talking.points(release({"A": (0.8, 0.5), "B": (0.5, 0.7), "C": (0.6, 0.6)}))
    assert mover.startswith("Largest mover: A from 80\u00a0% on target at weaning to 50\u00a0%.")
    assert improved.startswith("Most improved: B has 20 in a hundred more ewes on target")


def test_a_change_that_may_be_rounding_is_not_talked_up():
    mover, _, improved = talking.points(release({"A": (0.5, 0.55), "B": (0.5, 0.45)}))
    assert mover.startswith("Largest mover: none")
    assert improved.startswith("Most improved: none")


def test_letters_that_moved_as_much_are_named_together():
    _, _, improved = talking.points(release({"A": (0.5, 0.6), "B": (0.4, 0.5), "C": (0.6, 0.6)}))
    assert improved.startswith("Most improved: A and B have each 10")


def test_one_session_shows_no_change():
    points = talking.points(release({"A": (None, 0.6), "B": (None, 0.4)}))
    assert [point.split(":")[1][:15] for point in (points[0], points[2])] == [" cannot be told"] * 2


def test_the_widest_spread_is_the_mean_distance_from_the_flocks_own_mean():
    # A: half at 2.25 and half at 3.25, so each 0.5 from 2.75; B: all in one bin, 0. Worked by hand.
    cells = [
        ("A", "pre-tupping", 2.0, 2.5, 0.5),
        ("A", "pre-tupping", 3.0, 3.5, 0.5),
        ("B", "pre-tupping", 2.5, 3.0, 1.0),
    ]
    of = release({"A": (0.5, 0.5), "B": (0.5, 0.5)}, cells)
    assert dict(talking.spreads(of).to_numpy()) == {"A": pytest.approx(0.5), "B": 0}
    assert talking.points(of)[1].startswith("Widest spread: A.")
