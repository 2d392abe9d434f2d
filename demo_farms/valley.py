"""The farms of Skarrowdale, a valley that does not exist: places, flocks and contacts are all invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

System = Literal["hill", "upland", "lowland"]
Grouping = Literal["one", "age", "fields", "condition"]

SEASONS = (2024, 2025, 2026)


@dataclass(frozen=True, slots=True)
class Farm:
    """One invented client of the practice.

    `rams` and `weaned` are month-day of 2026 (other years differ by days); `sessions` are letters of
    `sessions.WINDOWS`; `hand` names how its files are written (`hands.HANDS`); `lean` is how far its ewes
    stand from the usual condition of the system, in scores; `sampled` is how many ewes are scored in a
    session (0: every ewe that was gathered); `wasting` is the share of ewes that never thrive.
    """

    code: str
    name: str
    system: System
    discussion_group: str
    breed: str
    ewes: int
    weaned: str
    rams: str
    sessions: str
    hand: str
    grouping: Grouping
    scorer: str
    lean: float = 0.0
    sampled: int = 0
    wasting: float = 0.0
    last_scored: int = SEASONS[-1]
    flush_days: int | None = None
    best_grazing_places: int | None = None


_LOWLAND = (
    Farm("QUIL01", "Quillow Meads", "lowland", "Marl Vale", "Texel cross", 180, "06-24", "10-12", "WPTS",
         "weigh_head", "age", "Tam", lean=0.05, best_grazing_places=40),
    Farm("UNDM02", "Undermarl Grange", "lowland", "Marl Vale", "Mule", 190, "06-18", "10-10", "WPT",
         "stick_reader", "condition", "Tam", lean=-0.5, best_grazing_places=45),
    Farm("PENN03", "Pennaflit Court", "lowland", "Marl Vale", "Lleyn", 320, "06-28", "10-08", "WPTSL",
         "office", "age", "Zoë", lean=0.08),
    Farm("BRIN04", "Brindlewash", "lowland", "Marl Vale", "Mule", 410, "06-15", "10-05", "PTS",
         "clipboard", "condition", "Wilf", best_grazing_places=90, flush_days=21),
    Farm("OSMR05", "Osmerwell Hall Farm", "lowland", "Marl Vale", "Texel cross", 120, "06-10", "09-28",
         "WPT", "phone", "one", "Zoë", lean=0.52),
    Farm("FERR06", "Ferrowbank", "lowland", "Marl Vale", "Lleyn", 210, "06-26", "10-14", "WPTS",
         "weigh_head", "one", "Tam", lean=0.05, wasting=0.14),
    Farm("THAK07", "Nether Thackmarsh", "lowland", "Marl Vale", "Mule", 520, "06-20", "10-09", "WPTS",
         "ledger", "fields", "Wilf"),
    Farm("CLAV08", "Claverumble", "lowland", "", "Texel cross", 140, "06-22", "10-11", "WPT",
         "notebook", "one", "Zoë", sampled=30),
    Farm("CRUG09", "Crûg Ewyll", "lowland", "Midwater", "Lleyn", 260, "07-01", "10-15", "WpPTS",
         "spreadsheet", "condition", "Siân", lean=0.12, best_grazing_places=50),
)  # fmt: skip

_UPLAND = (
    Farm("TARV10", "High Tarvash", "upland", "Midwater", "Cheviot cross", 230, "07-14", "10-20", "WPTS",
         "phone", "age", "Siân", lean=0.06, best_grazing_places=45),
    Farm("OMBR11", "Ombersett", "upland", "Midwater", "Mule", 480, "07-10", "10-17", "WPTS",
         "office", "condition", "Wilf"),
    Farm("DUNN12", "Dunnoway", "upland", "Midwater", "Mule", 260, "07-16", "10-22", "WPTS",
         "ledger", "fields", "Siân", lean=-0.42, best_grazing_places=50),
    Farm("WEXN13", "Wexenthwaite", "upland", "Midwater", "Texel cross", 170, "07-08", "10-16", "WPT",
         "handheld", "fields", "Tam"),
    Farm("COTT14", "Cotterslaw End", "upland", "Midwater", "Cheviot cross", 300, "07-18", "10-24", "WPT",
         "clipboard", "one", "Siân", lean=0.05, sampled=30),
    Farm("ULVR15", "Ulverend", "upland", "Midwater", "Lleyn", 150, "07-12", "10-18", "PT",
         "notebook", "age", "Zoë", last_scored=2025),
    Farm("EMBR16", "Embrigg Stile", "upland", "", "Texel cross", 190, "07-06", "10-16", "WPTSL",
         "abroad", "fields", "Zoë", lean=0.45),
    Farm("FENQ17", "Fennoquarrel", "upland", "Skarrow Head", "Cheviot cross", 440, "07-20", "10-26", "WPTS",
         "abroad", "condition", "Wilf", best_grazing_places=80),
    Farm("BLAS18", "Blåskarr", "upland", "", "Mule", 270, "07-15", "10-21", "WPTS",
         "spreadsheet", "age", "Siân", lean=-0.08, flush_days=10),
)  # fmt: skip

_HILL = (
    Farm("SKEL19", "Skelmarrow Fell", "hill", "Skarrow Head", "Blackface", 560, "08-10", "11-08", "WPTS",
         "office", "fields", "Wilf"),
    Farm("HAWK20", "Hawkrindle", "hill", "Skarrow Head", "Blackface", 160, "08-01", "11-06", "WpTS",
         "short_tags", "age", "Siân", lean=0.03),
    Farm("GILL21", "Gillskerry", "hill", "Skarrow Head", "Cheviot", 220, "08-12", "11-12", "WPT",
         "clipboard", "fields", "Wilf", lean=-0.35, best_grazing_places=40),
    Farm("RASP22", "Raspenhope", "hill", "Skarrow Head", "Blackface", 640, "08-14", "11-14", "WPT",
         "handheld", "one", "Tam", lean=-0.1, sampled=30),
    Farm("KRAN23", "Krannowside", "hill", "Skarrow Head", "Cheviot", 380, "08-02", "11-05", "WpPTS",
         "ledger", "condition", "Siân", lean=0.04, best_grazing_places=60),
    Farm("MORN24", "Mornskail", "hill", "", "Blackface", 450, "08-16", "11-16", "WTS",
         "notebook", "fields", "Wilf", lean=0.05, flush_days=17),
    Farm("THRN25", "Thrennigarth", "hill", "Skarrow Head", "Blackface", 80, "08-08", "11-10", "WPTS",
         "stick_reader", "one", "Tam", lean=-0.06),
    Farm("YARL26", "Yarlescleugh", "hill", "", "Cheviot", 900, "08-11", "11-09", "WT",
         "short_tags", "one", "Siân", lean=0.05, sampled=30),
)  # fmt: skip

FARMS = _LOWLAND + _UPLAND + _HILL

REGIONS: dict[System, str] = {"lowland": "Lower Skarrow", "upland": "Middle Skarrow", "hill": "Skarrow tops"}

SCORER_BIAS = {"Tam": 0.0, "Siân": 0.04, "Zoë": 0.07, "Wilf": -0.07}
"""Invented scorers and how far each reads from the true condition, in scores."""

FIELDS: dict[System, tuple[tuple[str, str], ...]] = {
    "lowland": (("River Leaze", "best"), ("Long Marl", "ordinary"), ("Café Field", "ordinary")),
    "upland": (("Stile Park", "best"), ("Far Bank", "ordinary"), ("Rushy Ground", "holding")),
    "hill": (("In-bye", "best"), ("Near Heft", "ordinary"), ("Far Heft", "holding")),
}
"""Field groups and the grazing each is on once ewes are built up for tupping."""
