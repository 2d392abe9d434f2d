"""The funnel says how far flocks differ beyond chance, and draws it."""

from dataclasses import replace

import numpy as np
import pandas as pd
from dash import html

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


def test_what_stands_out_is_said_in_one_sentence_and_the_method_is_folded(flocks: Flocks, parts_of) -> None:
    parts = list(parts_of(page(FlocksState(), flocks)))
    (fold,) = [
        part
        for part in parts
        if isinstance(part, html.Details) and part.children[0].children == "How to read this"
    ]
    assert "vary 3.2 times" in str(fold)
    told = [
        str(part.children) for part in parts if isinstance(part, html.P) and "luck and the usual" in str(part)
    ]
    assert len(told) == 1 and "doi" not in told[0]


def test_a_flock_above_all_that_luck_and_usual_differences_give_is_named(flocks: Flocks, text_of) -> None:
    ewes = flocks.points["ewes"]
    wide = replace(flocks, limits=data.control_limits(0.1, ewes, Overdispersion(0.1, 3.0, 0.02)))
    high = wide.points.assign(thin_share=[0.9, *[0.0] * (len(ewes) - 1)])
    said = text_of(page(FlocksState(), replace(wide, points=high)))
    assert f"{high['name'].iloc[0]} has more thin ewes than luck" in said
    none = text_of(page(FlocksState(), replace(wide, points=high.assign(thin_share=0.0))))
    assert "None has more thin ewes than luck" in none


def test_the_usual_spread_holds_the_exact_limits_and_is_drawn() -> None:
    ewes = pd.Series([30, 200, 400])
    limits = data.control_limits(0.2, ewes, Overdispersion(0.2, 5.0, 0.15))
    many = limits[limits["ewes"] > 100]
    assert np.all(many["high_wide"] > many["high_95"]) and np.all(many["low_wide"] < many["low_95"])
    points = pd.DataFrame({"name": ["A"], "system": ["hill"], "ewes": [200], "thin_share": [0.2]})
    names = [trace.get("name") for trace in funnel(points, limits, 0.2, 0.1).data]
    assert "Usual for flocks that differ" in names
    assert "low_wide" not in data.control_limits(0.2, ewes)
