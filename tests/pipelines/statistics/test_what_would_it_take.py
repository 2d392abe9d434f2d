import pytest

from pipelines.statistics.what_would_it_take import best_quarter, ewes_to_move


def test_the_best_quarter_is_the_lower_quartile_worked_by_hand():
    assert best_quarter([0.20, 0.05, 0.10, 0.40, 0.30]) == pytest.approx(0.10)
    assert best_quarter([0.1, 0.2, 0.3, 0.4]) == pytest.approx(0.175)


@pytest.mark.parametrize(
    ("thin", "ewes", "share", "move"),
    # 10 % of 180 is 18 ewes, of 185 is 18.5: 18 may stay thin in either
    [(41, 180, 0.10, 23), (41, 185, 0.10, 23), (18, 180, 0.10, 0), (3, 180, 0.10, 0), (5, 50, 0.0, 5)],
)
def test_ewes_to_move_worked_by_hand(thin, ewes, share, move):
    assert ewes_to_move(thin, ewes, share) == move


@pytest.mark.parametrize("ewes", [30, 80, 333, 900])
def test_one_ewe_fewer_would_not_do(ewes):
    move = ewes_to_move(ewes // 2, ewes, 0.07)
    assert (ewes // 2 - move) / ewes <= 0.07 < (ewes // 2 - move + 1) / ewes
