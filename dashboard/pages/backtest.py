"""How well past projections came true, at `/backtest`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.components.plain import drawn
from dashboard.views import backtest

dash.register_page(  # type: ignore[no-untyped-call]
    __name__,
    path=backtest.PATH,
    name="Past projections",
    title="How well past projections came true · Tupping readiness",
)


def layout(**_query: Any) -> Component:
    """The page; it is the same for every link."""
    return drawn(backtest.page(data.past(data.reader())))
