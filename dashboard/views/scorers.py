"""Scorers: do two people give the same ewe the same score?"""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.brief.parts import source
from dashboard.components import comparing, frame, links, notice, words
from dashboard.components.picture import picture
from dashboard.data import Scorers
from dashboard.figures.agreement import crossed
from dashboard.scoring import Agreement
from pipelines import reference
from pipelines.reference import Figure
from pipelines.statistics.agreement import Kappa

PATH = "/scorers"


def page(data: Scorers | None) -> list[Component]:
    """The whole page; `data` is None until a farm is registered."""
    heading = [
        dcc.Link("← Compare", href="/compare", className="back"),
        html.H1("How well scorers agree"),
    ]
    if data is None or not data.pairs:
        foot = [] if data is None else [frame.as_of(words.day(data.as_of))]
        return [*heading, _none_yet(), _published(), *foot]
    return [
        *heading,
        html.P(
            "From ewes that two people scored on one day without telling each other. A flock’s figures can "
            "be "
            "compared with another’s only as far as their scorers agree.",
            className="lead",
        ),
        *[_section(pair) for pair in data.pairs],
        _published(),
        frame.as_of(words.day(data.as_of)),
    ]


def in_words(pair: Agreement) -> list[str]:
    """What the figures of a pair say, plainly."""
    return [_difference(pair), _kappa(pair)]


def _section(pair: Agreement) -> Component:
    title = f"{pair.first}, twice" if pair.first == pair.second else f"{pair.first} and {pair.second}"
    figure = crossed(pair.table, pair.first, pair.second)
    about = f"{words.count(pair.ewes, 'ewe')} scored by both, on {words.count(len(pair.farms), 'farm')}."
    return html.Section(
        [
            html.H2(title),
            html.P(about, className="about"),
            *[html.P(said) for said in in_words(pair)],
            html.Div(
                picture(f"agreement-{pair.first}-{pair.second}", figure, links.table("scorers", "")),
                className="square",
            ),
        ]
    )


def _difference(pair: Agreement) -> str:
    limits = pair.limits
    if limits is None:
        return "The difference cannot be measured because only one ewe was scored by both."
    size = f"{abs(limits.mean):.2f} of a score"
    way = "higher" if limits.mean > 0 else "lower"
    if limits.mean_low <= 0 <= limits.mean_high:
        lead = f"On average they score alike: {pair.first} {size} {way}"
    else:
        lead = f"{pair.first} scores {size} {way} on average"
    return (
        f"{lead} (between {comparing.signed(limits.mean_low)} and {comparing.signed(limits.mean_high)}). "
        "On 95 of 100 ewes their "
        "scores "
        f"differ by {comparing.signed(limits.lower)} to {comparing.signed(limits.upper)}, the limits of "
        "agreement."
    )


def _kappa(pair: Agreement) -> str:
    if pair.linear is None or pair.quadratic is None:
        return f"Agreement beyond chance cannot be worked out: {pair.why_not}."
    return (
        f"Agreement beyond chance (weighted kappa; 1 is perfect, 0 is luck): {_in_range(pair.linear)} when "
        f"every step apart counts alike (linear weights), {_in_range(pair.quadratic)} when far apart counts "
        "much more (quadratic weights)."
    )


def _in_range(kappa: Kappa) -> str:
    """`0.51 (between 0.38 and 0.64)`; of ewes all alike the large-sample interval has no width to believe."""
    if kappa.low == kappa.high:
        return f"{kappa.value:.2f} (too few differences for a range)"
    return f"{kappa.value:.2f} (between {kappa.low:.2f} and {kappa.high:.2f})"


def _published() -> Component:
    """What others have found, with the source."""
    items = []
    for figure in reference.figures("scorer_agreement"):
        said = f"{figure.keys['figure'].capitalize()}: {_figure(figure)}. {source(figure)}."
        items.append(html.Li(said))
    return html.Section([html.H2("What others have found"), html.Ul(items, className="plain-list")])


def _figure(figure: Figure) -> str:
    """`96 % of scores`, `weighted kappa 0.3 to 0.5`, `212 of 231 pairs`."""
    if figure.value is None:
        return f"{figure.unit} {figure.low:g} to {figure.high:g}"
    if figure.unit.startswith("share of "):
        return f"{words.percent(figure.value)} {figure.unit.removeprefix('share ')}"
    whole = figure.value == int(figure.value)
    return f"{figure.value:g} {figure.unit}" if whole else f"{figure.unit} {figure.value:g}"


def _none_yet() -> Component:
    return notice.empty(
        "No ewe has been scored by two people yet, so how well they agree is not known.",
        "Let both score the same 30 or more ewes on one day, apart from each other. Import the second "
        "person’s "
        "scores as a file of their own with the scorer’s name, and “recalibration pair” in the note column.",
    )
