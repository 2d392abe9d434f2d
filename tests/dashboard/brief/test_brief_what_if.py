"""The brief says what was tried out on the farm's page, after things as they stand."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import BytesIO

import numpy as np
import pandas as pd
import pytest
from pypdf import PdfReader

from dashboard.brief.compose import compose
from dashboard.brief.pdf import render
from dashboard.brief.tables import Tables
from dashboard.brief.what_if import tried
from pipelines.queries.what_if import Outlook, Plan, lambing
from pipelines.readiness.allocation import Allocation

Make = Callable[..., Tables]
LATER = date(2026, 11, 17)


@pytest.fixture
def outlook(tables: Make) -> Outlook:
    """The invented farm with the rams in two weeks later: 80 % ready instead of 69 %."""
    projected = tables().readiness.assign(ready_share=0.8, ready_share_low=0.7, ready_share_high=0.9)
    return Outlook(projected, pd.DataFrame(), LATER, 14, date(2026, 11, 3), lambing(LATER), 30, None)


def plain(said: str) -> str:
    return said.replace("\u00a0", " ")


def test_what_was_tried_is_told_with_what_it_showed(tables: Make, outlook: Outlook) -> None:
    assert plain(tried(tables(), Plan(rams_in=LATER), outlook)) == (
        "rams in 17 Nov 2026 instead of 3 Nov 2026. Then 80 % likely ready by 3 Nov 2026, between "
        "70 % and 90 %; as things stand 69 %."
    )


def test_places_alone_do_not_change_the_projection_but_what_they_are_worth(
    tables: Make, outlook: Outlook
) -> None:
    found = tables()
    fixed = replace(outlook, rams_in=found.dates().rams_in, places=40)
    shared = Allocation(np.array([25, 15]), 132.4, 120.0, 2.0, (), True)
    assert plain(tried(found, Plan(places=40), replace(fixed, allocation=shared))) == (
        "40 places on best grazing instead of 30. 40 ewes moved there from today make about 12 more ewes "
        "ready than with nobody there."
    )


def test_a_plan_that_changes_nothing_here_says_nothing(tables: Make, outlook: Outlook) -> None:
    stands = replace(outlook, rams_in=tables().dates().rams_in)
    plan = Plan(places=30, grazing={"Top hill": "ordinary", "<b>elsewhere</b>": "best"})
    assert tried(tables(), plan, stands) == ""


def test_to_name_grazing_that_was_not_written_is_a_change(tables: Make, outlook: Outlook) -> None:
    silent = replace(tables(), readiness=tables().readiness.assign(grazing_named=False))
    said = tried(silent, Plan(places=30, grazing={"Top hill": "ordinary"}), outlook)
    assert "Top hill on ordinary grazing instead of what is not written" in plain(said)


def test_what_was_tried_stands_after_the_projection_as_it_stands(tables: Make, outlook: Outlook) -> None:
    brief = compose(tables(), tried(tables(), Plan(rams_in=LATER), outlook))
    pages = PdfReader(BytesIO(render(brief))).pages
    said = plain(" ".join(" ".join(page.extract_text() for page in pages).split()))
    assert said.index("Projection to 20 Oct 2026") < said.index("Tried out: rams in 17 Nov 2026")
