"""Pictures carry what the frames say; expected values are counted by hand from the small frames."""

import json
from datetime import date

import numpy as np
import pandas as pd
import plotly.graph_objects as go
import pytest

from dashboard.data import Flocks
from dashboard.figures import colours
from dashboard.figures.calibration import held, places
from dashboard.figures.distribution import TALLEST, condition, distributions
from dashboard.figures.funnel import funnel, placed
from dashboard.figures.last_dates import last_dates
from dashboard.figures.shares import Quartiles, on_target, readiness
from dashboard.figures.sketch import Sketch
from pipelines.readiness.backtest import Report

CELLS = pd.DataFrame(
    {
        "label": ["Shearlings"] * 3 + ["Older"] * 2,
        "score": [2.0, 2.5, 3.25, 2.0, 3.0],
        "ewes": [1, 2, 1, 3, 1],
        "low": 2.5,
        "high": 3.0,
    }
)
ROWS = pd.DataFrame(
    {
        "label": ["A & <b>B</b>", "C"],
        "share": [0.9, 0.5],
        "low": [0.8, 0.4],
        "high": [0.95, 0.6],
        "ewes": [100, 50],
        "ready_now_share": [0.6, 0.5],
    }
)


def checked(sketch: Sketch) -> go.Figure:
    """The sketch as plotly's own class, which refuses whatever is not in its schema."""
    return go.Figure(sketch.plain())


@pytest.fixture
def spread() -> go.Figure:
    return checked(distributions(CELLS, title="Scores", meaning="What it means."))


@pytest.mark.parametrize(
    ("score", "expected"), [(2.25, "thin"), (2.5, "on target"), (3.0, "on target"), (3.25, "over")]
)
def test_the_ends_of_the_band_are_on_target(score: float, expected: str) -> None:
    assert condition(score, 2.5, 3.0) == expected


def test_hatching_lies_over_the_colour_and_does_not_replace_it(spread: go.Figure) -> None:
    assert {bars.marker.pattern.fillmode for bars in spread.data} == {"overlay"}


def test_bars_are_shares_of_their_own_row_on_one_scale(spread: go.Figure) -> None:
    thin, on, over = spread.data
    assert list(thin.y) == pytest.approx([TALLEST * (1 / 4) / (3 / 4), TALLEST], abs=1e-4)
    assert list(on.y) == pytest.approx([TALLEST * (2 / 4) / (3 / 4), TALLEST * (1 / 4) / (3 / 4)], abs=1e-4)
    assert list(over.x) == [3.25]


def test_the_first_row_stands_on_top(spread: go.Figure) -> None:
    assert list(spread.data[0].base) == [1, 0]


def test_bars_are_as_wide_as_the_step_the_row_was_scored_in(spread: go.Figure) -> None:
    assert list(spread.data[0].width) == pytest.approx([0.25 * 0.88, 1.0 * 0.88])


def test_conditions_differ_without_colour(spread: go.Figure) -> None:
    assert [bars.marker.pattern.shape for bars in spread.data] == ["/", "", "."]
    assert len({bars.marker.color for bars in spread.data}) == 3


def test_the_tallest_bar_is_said_in_the_meaning(spread: go.Figure) -> None:
    assert spread.layout.meta["meaning"] == "What it means. The tallest bar is 75 % of its row."


def test_each_row_shows_its_band(spread: go.Figure) -> None:
    assert [(shape.x0, shape.x1) for shape in spread.layout.shapes] == [(2.375, 3.125)] * 2


def test_the_funnel_draws_each_flock_once_by_system(flocks: Flocks) -> None:
    drawn = checked(funnel(flocks.points, flocks.limits, flocks.average, 0.1))
    marks = {trace.name: trace for trace in drawn.data if trace.mode == "markers"}
    assert set(marks) == {"Hill", "Lowland"}
    assert list(marks["Hill"].x) == [180]
    assert marks["Hill"].marker.symbol != marks["Lowland"].marker.symbol


def test_the_funnel_shows_both_limits_the_average_and_the_practice_limit(flocks: Flocks) -> None:
    drawn = checked(funnel(flocks.points, flocks.limits, flocks.average, 0.1))
    names = [trace.name for trace in drawn.data if trace.mode == "lines" and trace.showlegend is not False]
    assert names == ["95 % limits", "99.8 % limits", "Average of these flocks", "Too many thin (10\u00a0%)"]


def test_a_name_for_which_a_phone_has_no_room_is_kept_for_a_wide_screen() -> None:
    # by hand: 20 letters at 6.4 pixels are 128; of 430 pixels the first name ends at 193, that beside it
    # begins at 151 and the far one at 259; of 240 pixels the first ends at 136, the far one begins at 88
    first, beside, far = ("A" * 20, 0.3, 0.5), ("B" * 20, 0.5, 0.5), ("C" * 20, 0.9, 0.5)
    below = ("D" * 20, 0.3, 0.5)  # two stand at one mark, one name above it and one below
    assert [name.opacity for name in placed([first, below, beside])] == [1.0, 1.0, 0.998]
    assert [name.anchor for name in placed([first, far])] == ["center", "right"]
    assert [name.opacity for name in placed([first, below, far])] == [1.0, 1.0, 0.999]


def test_a_name_that_would_cross_another_goes_below_its_mark() -> None:
    names = placed([("A" * 20, 0.3, 0.5), ("B" * 20, 0.5, 0.5)])
    assert [(name.above, name.opacity) for name in names] == [(14, 1.0), (-14, 1.0)]
    (alone,) = placed(
        [("A" * 20, 0.3, 0.5)], marks=[(0.3, 0.5), (0.4, 0.55)]
    )  # 24 beside and 15 pixels above
    assert alone.above == -14


def test_intervals_reach_from_low_to_high() -> None:
    drawn = checked(on_target(ROWS, Quartiles(0.5, 0.7, 0.9), meaning="m")).data[0]
    assert list(np.array(drawn.x) + np.array(drawn.error_x.array)) == pytest.approx([95, 60])
    assert list(np.array(drawn.x) - np.array(drawn.error_x.arrayminus)) == pytest.approx([80, 40])


def test_markup_in_a_name_is_only_text() -> None:
    drawn = checked(on_target(ROWS, Quartiles(0.5, 0.7, 0.9), meaning="m"))
    assert drawn.layout.annotations[0].text == "A &amp; &lt;b&gt;B&lt;/b&gt;"
    assert drawn.data[0].customdata[0][0] == "A &amp; &lt;b&gt;B&lt;/b&gt;"


def test_every_picture_has_title_meaning_and_named_axes(spread: go.Figure, flocks: Flocks) -> None:
    pictures = [
        spread,
        checked(funnel(flocks.points, flocks.limits, flocks.average, 0.1)),
        checked(on_target(ROWS, Quartiles(0.5, 0.7, 0.9), meaning="m")),
        checked(readiness(ROWS, meaning="m")),
    ]
    for drawn in pictures:
        assert drawn.layout.meta["title"] and drawn.layout.meta["meaning"]
        assert "(" in drawn.layout.xaxis.title.text, "the unit stands in brackets"


def test_shares_are_written_with_a_space_before_the_sign(flocks: Flocks) -> None:
    drawn = checked(funnel(flocks.points, flocks.limits, flocks.average, 0.1))
    assert drawn.layout.yaxis.ticksuffix == "\u00a0%"
    assert [mark.y[0] for mark in drawn.data if mark.name == "Hill"] == pytest.approx([41 / 180 * 100])


def test_a_sketch_holds_plain_values_and_a_gap_for_a_missing_number() -> None:
    sketch = Sketch()
    sketch.trace("scatter", x=np.array([1.0, np.nan]), y=pd.Series([2, 3]))
    sketch.lay_out(xaxis={"title": {"text": "a"}})
    sketch.lay_out(xaxis={"title": {"standoff": 8}})
    assert json.loads(json.dumps(sketch.plain()))["data"] == [
        {"type": "scatter", "x": [1.0, None], "y": [2, 3]}
    ]
    assert sketch.layout == {"xaxis": {"title": {"text": "a", "standoff": 8}}}


def test_the_palette_is_okabe_and_itos() -> None:
    """Values as in Okabe & Ito (2008), converted from their RGB triples, e.g. vermillion (213, 94, 0)."""
    published = {
        (230, 159, 0),
        (86, 180, 233),
        (0, 158, 115),
        (240, 228, 66),
        (0, 114, 178),
        (213, 94, 0),
        (204, 121, 167),
    }
    used = {*colours.CONDITION_COLOUR.values(), *colours.SYSTEM_COLOUR.values()}
    assert {tuple(bytes.fromhex(colour[1:])) for colour in used} <= published


REPORT = Report(20, 0.1, -0.02, 0.05, (0.25, 0.5, 0.8), (2, 0, 0, 1, 3, 4, 0, 0, 2, 8))


def test_ranges_that_held_stand_beside_those_promised() -> None:
    dots, diamonds = checked(held(REPORT)).data
    assert list(dots.x) == [25, 50, 80] and list(diamonds.x) == [50, 80, 90]


def test_places_show_every_prediction_and_the_level_that_is_honest() -> None:
    figure = checked(places(REPORT))
    assert sum(figure.data[0].y) == 20
    assert figure.layout.shapes[0].y0 == 2  # twenty over ten bins


def test_last_dates_show_today_and_the_day_to_be_ready() -> None:
    days = {"usual": date(2026, 9, 1), "slow": date(2026, 8, 20), "fast": date(2026, 9, 5)}
    rows = pd.DataFrame([{"score": 2.5, "ewes": 1, "grazing": each} | days for each in ("best", "ordinary")])
    figure = checked(last_dates(rows, today=date(2026, 8, 25), ready_by=date(2026, 9, 28)))
    assert [shape.x0 for shape in figure.layout.shapes] == ["2026-08-25", "2026-09-28"]
    assert [list(trace.x) for trace in figure.data if trace.mode == "markers"] == [["2026-09-01"]] * 2
    assert "Score 2.5 (1 ewe)" in [note.text for note in figure.layout.annotations]
