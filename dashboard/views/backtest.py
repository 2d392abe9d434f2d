"""How well past projections came true: this practice's own sessions, and simulated worlds."""

from __future__ import annotations

from collections.abc import Mapping

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import frame, links, notice, words
from dashboard.components.folding import folded
from dashboard.components.picture import picture
from dashboard.components.scrolling import scrolling, stacking
from dashboard.data import Past
from dashboard.figures.calibration import held, places
from pipelines.models.past import METHODS, MINE, STILL
from pipelines.queries.backtest import of_next, reports
from pipelines.readiness.backtest import LEVELS, Report
from pipelines.readiness.explained import TRIALS

PATH = "/backtest"
TITLE = "How well past projections came true"
FEW = 20
POINT = 0.005  # shares nearer than this read the same
NAMES = {
    MINE: "This working",
    STILL: "“Nothing changes”",
    "one score in 45 days": "“One score in 45 days”",
}


def page(data: Past) -> list[Component]:
    """The whole page."""
    if data.as_of is None or not data.reports:
        return [html.H1(TITLE), _nothing(), _worlds(), notice.caution()]
    mine = data.reports[MINE]
    return [
        html.H1(TITLE),
        html.P(_asked(mine), className="lead"),
        html.Section(
            [html.H2("What it comes to"), *[html.P(text) for text in verdict(data)]], className="prose"
        ),
        html.Section([html.H2("Beside two simple rules"), _table(data.reports), _named(data)]),
        html.Section([html.H2("How far ahead"), *_horizons(data)]),
        html.Section([html.H2("Did the ranges hold?"), *_pictures(mine)]),
        _worlds(),
        html.P(dcc.Link("How readiness is worked out", href="/how")),
        notice.caution(),
        frame.as_of(words.day(data.as_of)),
    ]


def _nothing() -> Component:
    return notice.empty(
        "No past projection can be checked yet.",
        "It takes a flock scored twice in one season before the rams go in: score again and import the file.",
    )


def _asked(mine: Report) -> str:
    return (
        f"{words.count(mine.predictions, 'session')} of past and present seasons, each predicted from the "
        "session before it and from nothing later, held against the share inside the tupping band that was "
        "then recorded."
    )


def verdict(data: Past) -> list[str]:
    """What the figures say, in plain words, the unwelcome first."""
    mine, still = data.reports[MINE], data.reports[STILL]
    said = [_bias(mine), _coverage(mine)]
    if mine.crps >= still.crps:
        said.append(
            "Taking the last share as it was (“nothing changes”) came nearer than this working did on these "
            "sessions. Read the projections here with that in mind."
        )
    if mine.bias < -POINT * 4:
        said.append(
            "Fewer ready expected than came is what one sees where more of the ewes that had come right "
            "were held than earlier sessions had shown, so that fewer went over the top; or where groups "
            "were moved to better grazing than was written down. Ask which it was."
        )
    if mine.bias > POINT * 4:
        said.append(
            "More ready expected than came is what one sees where ewes stop gaining before they are right, "
            "where grass was poorer than was written down, or where thin ewes are ill. Ask which it was."
        )
    if mine.predictions < FEW:
        said.append(f"{words.count(mine.predictions, 'session')} is few: chance plays a large part.")
    return said


def _bias(mine: Report) -> str:
    if abs(mine.bias) < 2 * POINT:
        return "On average as many ewes were ready as had been expected."
    side = "more" if mine.bias > 0 else "fewer"
    promised = "promised too much" if mine.bias > 0 else "promised too little"
    return (
        f"On average the working {promised}: it expected {_points(abs(mine.bias))} {side} ready than were "
        f"recorded. Its mean error was {_points(mine.mean_absolute_error)}."
    )


def _coverage(mine: Report) -> str:
    got = mine.covered[-1]
    start = f"Of the ranges meant to hold nine times in ten, {words.percent(got)} held"
    if got < 0.85:
        return f"{start}: they were too narrow for what happened here."
    return f"{start}, about as promised." if got <= 0.95 else f"{start}: wider than they need be."


def _points(share: float) -> str:
    points = round(share * 100)
    return words.count(points, "point")


def _table(found: dict[str, Report]) -> Component:
    heads = (
        "Rule",
        "Mean error",
        "Expected on average",
        *(f"{level * 100:.0f}{words.PERCENT} ranges held" for level in LEVELS),
        "Whole range (CRPS)",
    )
    rows = [
        (
            NAMES[method],
            _points(report.mean_absolute_error),
            _lean(report.bias),
            *(words.percent(share) for share in report.covered),
            f"{report.crps:.3f}",
        )
        for method, report in ((method, found[method]) for method in METHODS)
    ]
    note = (
        "Mean error is in percentage points of the flock. CRPS (continuous ranked probability score) marks "
        "the whole range, in shares of the flock: the smaller the better, and a range that is too narrow is "
        "punished."
    )
    return html.Div([stacking(heads, rows), html.P(note, className="meaning")])


def _lean(bias: float) -> str:
    """Whether more or fewer ewes were expected to be ready than were."""
    points = round(abs(bias) * 100)
    if not points:
        return "as many as came"
    return f"{words.count(points, 'point')} too {'many' if bias > 0 else 'few'}"


def _named(data: Past) -> Component | None:
    """Whether naming the grazing has paid."""
    rows = of_next(data.rows)
    named, unnamed = (reports(rows[rows["grazing_named"] == written]).get(MINE) for written in (True, False))
    if named is None or unnamed is None:
        return None
    return html.P(
        f"Where the grazing of every group was written down ({words.count(named.predictions, 'session')}), "
        f"the mean error of this working was {_points(named.mean_absolute_error)} and "
        f"{words.percent(named.covered[-1])} of its 90{words.PERCENT} ranges held; where it was not "
        f"({words.count(unnamed.predictions, 'session')}), {_points(unnamed.mean_absolute_error)} and "
        f"{words.percent(unnamed.covered[-1])}. Add a grazing column to score files."
    )


def _horizons(data: Past) -> list[Component]:
    """Errors by how far ahead was predicted, against both rivals."""
    heads = (
        "From … to",
        "Sessions",
        *(f"Mean error: {NAMES[method]}" for method in METHODS),
        f"90{words.PERCENT} ranges held: {NAMES[MINE]}",
    )
    rows = [
        (f"{first} to {later}".capitalize(), *_horizon(found))
        for (first, later), found in data.horizons.items()
    ]
    return [
        html.P(
            "A visit at weaning asks about tupping. Here each later session is predicted from each earlier "
            "one, also where another was scored between the two: what that one showed is then not used."
        ),
        stacking(heads, rows),
        html.P(
            "The further ahead, the more is done with the ewes in between: thin ones drawn out, fields "
            "changed. How far those that are right are held is learned from sessions that lay before each "
            "day of scoring; until there are some, anything between none and all is taken to be as likely. "
            "And after weaning many flocks are held for weeks before they are fed for tupping. Where grazing "
            "was not written down, how fast ewes gain is learned from earlier sessions too, before and after "
            "feeding begins. Where it was, it is taken to last: what is written at weaning and changed "
            "before tupping misleads.",
            className="meaning",
        ),
    ]


def _horizon(found: Mapping[str, Report]) -> tuple[str, ...]:
    if not found:
        return ("none yet", *("–" for _ in METHODS), "–")
    mine = found[MINE]
    few = ", few: chance plays a large part" if mine.predictions < FEW else ""
    return (
        f"{mine.predictions}{few}",
        *(_points(found[method].mean_absolute_error) for method in METHODS),
        words.percent(mine.covered[-1]),
    )


def _pictures(mine: Report) -> list[Component]:
    href = links.table("backtest", "")
    return [
        html.Div(
            [picture(ids.CALIBRATION, held(mine), href), picture(ids.PLACES, places(mine), href)],
            className="side-by-side",
        )
    ]


def _worlds() -> Component:
    head = html.Thead(
        html.Tr(
            [
                html.Th(text, scope="col")
                for text in ("Simulated world", "Held what was recorded", "Held the truth")
            ]
        )
    )
    rows = [
        html.Tr(
            [
                html.Th(f"A world {trial.world}", scope="row"),
                html.Td(words.percent(trial.recorded)),
                html.Td(words.percent(trial.true)),
            ]
        )
        for trial in TRIALS
    ]
    return html.Section(
        folded(
            html.H2("Tried on simulated farms"),
            [
                html.P(
                    "Four hundred simulated farms, their truth not told to the working: how many of its "
                    f"90{words.PERCENT} ranges held. The first world is as the working assumes; the others "
                    "break what it assumes, one thing at a time, or differ in how far ewes are held that "
                    "have come right, or in how they gain where nothing is written of their grazing: that "
                    "it has to find out from earlier sessions. Scorers who drift mislead it about the "
                    "truth, and no record tells: recalibrate before the season."
                ),
                scrolling("Simulated worlds", head, rows),
            ],
        )
    )
