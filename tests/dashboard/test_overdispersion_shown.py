"""The funnel says how far flocks differ beyond chance, and draws it."""

from dataclasses import replace

import numpy as np
import pandas as pd

from dashboard import data
from dashboard.data import Flocks
from dashboard.figures.funnel import funnel
from dashboard.views.flocks import page
from dashboard.views.state import FlocksState
from pipelines.statistics.funnel import Overdispersion


def test_the_treatment_is_said_in_plain_words(flocks: Flocks, text_of) -> None:
    said = text_of(page(FlocksState(), flocks))
    assert "The lines are exact" in said
    assert "vary 3.2 times as much as chance alone" in said and "doi:10.1002/sim.1970" in said
    alike = replace(flocks, apart=Overdispersion(0.11, 0.8, 0.0))
    assert "no more than chance would make them" in text_of(page(FlocksState(), alike))


def test_the_usual_spread_holds_the_exact_limits_and_is_drawn() -> None:
    ewes = pd.Series([30, 200, 400])
    limits = data.control_limits(0.2, ewes, Overdispersion(0.2, 5.0, 0.15))
    many = limits[limits["ewes"] > 100]
    assert np.all(many["high_wide"] > many["high_95"]) and np.all(many["low_wide"] < many["low_95"])
    points = pd.DataFrame({"name": ["A"], "system": ["hill"], "ewes": [200], "thin_share": [0.2]})
    names = [trace.get("name") for trace in funnel(points, limits, 0.2, 0.1).data]
    assert "Usual for flocks that differ" in names
    assert "low_wide" not in data.control_limits(0.2, ewes)
