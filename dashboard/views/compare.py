"""Compare: farms of one system side by side at the same stage."""

from __future__ import annotations

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.comparison import USUAL_WEEKS, Compare
from dashboard.components import filters, frame, links, notice, words
from dashboard.components.folding import folded
from dashboard.components.picture import picture, save_table
from dashboard.figures.distribution import distributions
from dashboard.figures.shares import Quartiles, on_target
from dashboard.views import compare_scorers, compare_standing, group
from dashboard.views.flocks import records
from dashboard.views.state import CompareState, rows_before
from pipelines.settings import STAGES, SYSTEMS

PATH = "/compare"
PAGE_ROWS = 30


def page(state: CompareState, data: Compare | None) -> list[Component]:
    """The whole page for `state`; `data` is None until a farm is registered."""
    heading = html.H1("Compare farms")
    if data is None:
        return [heading, notice.first_steps("No flocks here yet.")]
    parts: list[Component] = [heading, _filters(state, data)]
    if data.sessions.empty:
        breed = f" of breed {state.breed}" if state.breed else ""
        parts.append(
            notice.empty(
                f"No {data.system} flock{breed} scored at {data.stage} in {data.season}.",
                "Choose another stage, system or season above.",
            )
        )
    else:
        parts += _pictures(state, data)
    onward = html.P(dcc.Link("Give a discussion group its own comparison, without names", href=group.PATH))
    return [*parts, notice.caution(), onward, frame.as_of(words.day(data.as_of))]


def quartiles(sessions: pd.DataFrame) -> Quartiles:
    """Median and quartiles of the farms' shares on target, each farm counting once."""
    lower, median, upper = sessions["on_target_share"].quantile([0.25, 0.5, 0.75])
    return Quartiles(float(lower), float(median), float(upper))


def share_rows(sessions: pd.DataFrame) -> pd.DataFrame:
    """session_summary rows as rows of the picture of shares on target, best first."""
    return _labelled(_best_first(sessions))


def _best_first(sessions: pd.DataFrame) -> pd.DataFrame:
    return sessions.sort_values(["on_target_share", "farm"], ascending=[False, True], kind="stable")


def _labelled(ordered: pd.DataFrame) -> pd.DataFrame:
    return ordered.assign(
        label=[
            f"{name} ({words.percent(part)} of {words.count(ewes, 'ewe')})"
            for name, part, ewes in zip(
                ordered["name"], ordered["on_target_share"], ordered["ewes"], strict=True
            )
        ],
        share=ordered["on_target_share"],
        low=ordered["on_target_low"],
        high=ordered["on_target_high"],
    )


def score_rows(scores: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """score_distribution rows as rows of the picture of spreads, farms in the order of `sessions`."""
    columns = ["farm", "name", "scored_on", "mean_score", "target_low", "target_high"]
    rows = sessions[columns].merge(scores[["farm", "score", "ewes"]], on="farm", how="inner")
    return rows.assign(
        label=[
            f"{name}, {words.short_day(day)} (mean {mean:.2f})"
            for name, day, mean in zip(rows["name"], rows["scored_on"], rows["mean_score"], strict=True)
        ],
        low=rows["target_low"],
        high=rows["target_high"],
    )


def _filters(state: CompareState, data: Compare) -> Component:
    windows = [("1", "Within 1 week"), ("2", "Within 2 weeks"), ("any", "Any time in the stage")]
    fields = [
        filters.choice("season", "Season", [(str(y), str(y)) for y in data.seasons], data.season, None),
        filters.choice("system", "System", [(s, s.capitalize()) for s in SYSTEMS], data.system, None),
        filters.choice("stage", "Stage", [(s, s.capitalize()) for s in STAGES], data.stage, None),
        filters.choice("window", "Scored", windows, state.window, f"Within {USUAL_WEEKS} weeks"),
    ]
    if data.breeds:
        breeds = [(breed, breed) for breed in data.breeds]
        fields.append(filters.choice("breed", "Breed", breeds, state.breed, "All"))
    return filters.form(PATH, fields, clear=state != CompareState())


def _pictures(state: CompareState, data: Compare) -> list[Component]:
    middle = quartiles(data.sessions)
    rows = _best_first(data.sessions)
    first = rows_before(state.page, len(rows), PAGE_ROWS)
    part = _labelled(rows.iloc[first : first + PAGE_ROWS])
    worst = data.sessions.sort_values(["rank", "farm"]).iloc[first : first + PAGE_ROWS]
    ways = filters.pages(PATH, state, len(rows), PAGE_ROWS)
    return [
        html.P(_summary(data, middle), className="lead"),
        html.P(_window(data), className="about"),
        *([ways] if ways else []),
        html.Section(
            [
                html.H2("Too many thin, beyond luck?"),
                folded(
                    html.Span("What the columns mean"), compare_standing.explained(data), handle_at_desk=False
                ),
                *compare_standing.tables(data, worst),
                html.P(save_table(links.table("compare-standing", state.search())), className="keep"),
                compare_scorers.warning(data),
            ]
        ),
        html.Section(
            [
                html.H2("Side by side"),
                *_side_by_side(
                    [_share_picture(state, part, middle), _score_picture(state, data, part)], len(part)
                ),
            ]
        ),
    ]


def _side_by_side(pictures: list[Component], rows: int) -> list[Component]:
    """The two pictures; of many flocks they are taller than a phone’s reader would scroll past unasked."""
    both = html.Div(pictures, className="side-by-side")
    said = f"The pictures: on target, and how scores are spread, of {rows} flocks"
    return [folded(html.Span(said), [both], handle_at_desk=False)] if rows > compare_standing.NEAR else [both]


def _window(data: Compare) -> str:
    days = data.sessions["days_before"]
    said = f"Like with like: scored {_span(int(days.min()), int(days.max()))}."
    if data.outside:
        said += (
            f" Left out: {words.count(data.outside, 'flock')} scored more than {data.weeks} weeks earlier "
            "or later "
            "than the middle flock, counted from rams in."
        )
    return said


def _span(nearest: int, farthest: int) -> str:
    ends = f"{nearest} to {farthest}" if nearest != farthest else f"{nearest}"
    if nearest >= 0:
        return f"{ends} days before rams in"
    return f"{-farthest} to {-nearest} days after rams in" if farthest < 0 else f"{ends} days round rams in"


def _summary(data: Compare, middle: Quartiles) -> str:
    if len(data.sessions) == 1:
        (alone,) = records(data.sessions)
        right, few = words.percent(alone["on_target_share"]), words.percent(alone["thin_share"])
        return (
            f"1 {data.system} flock scored at {data.stage}: {right} of its ewes are on target, {few} thin. "
            "There is nothing yet to compare it with."
        )
    thin = data.sessions["thin_share"].quantile([0.25, 0.5, 0.75]).tolist()
    return (
        f"{words.count(len(data.sessions), f'{data.system} flock')} scored at {data.stage}. "
        f"On the middle farm {words.percent(middle.median)} of ewes are on target; the best quarter have "
        f"{words.percent(middle.upper)} or more, the last quarter {words.percent(middle.lower)} or fewer. "
        f"Thin are {_few(thin[1], '')} on the middle farm, {_few(thin[0], ' or fewer')} in the best quarter, "
        f"{words.percent(thin[2])} or more in the last."
    )


def _few(share: float, side: str) -> str:
    """A share and those on its other side; nothing is below none."""
    return f"{words.percent(share)}{side}" if share else "none"


def _share_picture(state: CompareState, rows: pd.DataFrame, middle: Quartiles) -> Component:
    meaning = (
        "Dot: share of ewes scored that were on target. Bar: the range it lies in nine times out of ten; "
        "where bars overlap much, the order may be chance. Dashed line: the middle farm. Grey: the middle "
        "half of the farms."
    )
    return picture(
        ids.SHARES, on_target(rows, middle, meaning=meaning), links.table("compare-shares", state.search())
    )


def _score_picture(state: CompareState, data: Compare, rows: pd.DataFrame) -> Component:
    figure = distributions(
        score_rows(data.scores, rows),
        title="How the scores are spread, farm by farm",
        meaning="One row per farm, in the same order. Bars left of the pale band are thin ewes.",
    )
    return picture(ids.SCORES, figure, links.table("compare-scores", state.search()))
