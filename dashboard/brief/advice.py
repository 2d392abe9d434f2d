"""What the brief advises: projections in words, groups to draw, questions and sources; pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dashboard.brief import words
from dashboard.brief.changes import Session
from dashboard.brief.content import Draw, Ewe, GroupScores, Outlook
from dashboard.brief.parts import source
from dashboard.brief.tables import WHOLE, Row, Tables, rows
from pipelines import reference
from pipelines.reference import Figure

TIMING = (
    "weaning to tupping, to put condition right",
    "right before the rams go in, so that ewes can still be flushed",
    "rescore thin ewes every",
    "scanning after the rams go in",
    "gestation",
)
_LOOSE_SAMPLE = 0.9  # below this share scored, how ewes were chosen matters


def outlooks(tables: Tables) -> tuple[Outlook, ...]:
    """The projection of each group to `ready_by`, ALL first."""
    found = [_outlook(tables, row) for row in rows(tables.readiness)]
    return tuple(sorted(found, key=lambda each: (each.group != WHOLE, each.group)))


def _outlook(tables: Tables, row: Row) -> Outlook:
    group = words.text(row["group"])
    if not words.missing(row.get("why_not")) or words.missing(row["ready_share"]):
        reason = words.text(row.get("why_not")) or "cannot be projected because its figures are missing"
        return Outlook(group, None, None, None, None, f"{reason}.")
    low, high = float(row["ready_share_low"]), float(row["ready_share_high"])
    now, expected = float(row["ready_now_share"]), float(row["ready_share"])
    said = (
        f"{words.percent(now)} inside the band when scored; {_grazing(row)} {words.between(low, high)} "
        f"likely ready by {words.day(tables.dates().ready_by)} (expected {words.percent(expected)})"
    )
    return Outlook(group, now, expected, low, high, said + _on_best(row))


def _grazing(row: Row) -> str:
    if not row.get("grazing_named"):
        return "its grazing not written down, which widens the range,"
    return f"on {words.text(row['grazing'])} grazing"


def _on_best(row: Row) -> str:
    if words.missing(row.get("on_best_low")) or row.get("grazing") == "best":
        return "."
    span = words.between(float(row["on_best_low"]), float(row["on_best_high"]))
    return f"; if all go on best grazing now, {span}."


def draws(tables: Tables, latest: Session | None) -> tuple[Draw, ...]:
    """One line for each group of the latest session: whom to draw, where to graze them."""
    if latest is None:
        return ()
    named = [row for row in rows(tables.readiness) if row["group"] != WHOLE]
    return tuple(_draw(tables, latest, row) for row in sorted(named, key=lambda row: str(row["group"])))


def _draw(tables: Tables, latest: Session, row: Row) -> Draw:
    group = words.text(row["group"])
    grazing = words.text(row.get("grazing")) if row.get("grazing_named") else "not written"
    if words.missing(row["ewes_to_gain"]) or words.missing(row.get("target_high")):
        return Draw(group, int(row["ewes"]), 0, 0, 0, grazing, "No target to draw by.")
    high = float(row["target_high"])
    over = sum(ewes for score, ewes in tables.cells(latest.scored_on, group) if score > high)
    to_gain = int(row["ewes_to_gain"])
    unlikely = int(words.number(row["ewes_unlikely"]) or 0)  # not known of what cannot be projected
    advice = _where(to_gain, unlikely, over, float(row["target_low"]), high)
    return Draw(group, int(row["ewes"]), to_gain, unlikely, over, grazing, advice)


def _where(to_gain: int, unlikely: int, over: int, low: float, high: float) -> str:
    parts = []
    if to_gain > unlikely:
        parts.append(f"below {words.score(low)} to best grazing")
    if unlikely:
        parts.append(f"{words.count(unlikely, 'ewe')} unlikely in time: examine")
    if over:
        parts.append(f"over {words.score(high)} to tighter grazing")
    return "; ".join(parts) or "leave together, hold condition"


def questions(
    tables: Tables, latest: Session | None, groups: Sequence[GroupScores], ewes: Sequence[Ewe]
) -> tuple[str, ...]:
    """What is worth asking on this farm; each question follows from something in its figures."""
    asked = ["Are the dates right: weaning, rams in, length of flushing?"]
    if latest is None:
        return (*asked, "Which day suits to score the ewes, and who holds the pen?")
    return (
        *asked,
        *_about_sample(tables, latest),
        *_about_groups(groups),
        *_about_grazing(tables),
        *_about_ewes(tables, ewes),
        "What is in front of the thin ewes now, and has the forage been analysed?",
    )


def _about_sample(tables: Tables, latest: Session) -> Iterator[str]:
    flock = tables.flock()
    if flock is not None and latest.ewes < _LOOSE_SAMPLE * flock:
        yield f"{latest.ewes:,} of {flock:,} were scored: drawn from all, or those easiest to catch?"
    scorers = {
        name.strip() for row in rows(tables.sessions) if row["season"] == tables.season
        for name in words.text(row.get("scorers")).split(",") if name.strip()
    }  # fmt: skip
    if len(scorers) > 1:
        who = words.listed(sorted(scorers)[:4])
        yield f"{who} have scored this season: have they scored the same ewes side by side?"


def _about_groups(groups: Sequence[GroupScores]) -> Iterator[str]:
    named = [group for group in groups if group.group != WHOLE]
    if len(named) < 2:
        return
    worst, best = (pick(named, key=lambda each: each.thin / each.ewes) for pick in (max, min))
    if worst.thin_low > best.thin_high:
        yield f"{worst.group} is thinner than {best.group} beyond chance: age, grazing, health, or sorting?"


def _about_grazing(tables: Tables) -> Iterator[str]:
    to_gain = words.number(_whole(tables, "ewes_to_gain"))
    places = words.number(tables.register().get("best_grazing_places"))
    if not to_gain:
        return
    if places is None:
        yield f"How many ewes can the best grazing carry? {words.count(int(to_gain), 'ewe')} would use it."
    elif places < to_gain:
        yield f"Best grazing has {places:,.0f} places for {to_gain:,.0f} thin ewes: who goes first?"


def _whole(tables: Tables, column: str) -> object:
    return next((row[column] for row in rows(tables.readiness) if row["group"] == WHOLE), None)


def _about_ewes(tables: Tables, ewes: Sequence[Ewe]) -> Iterator[str]:
    often = sum(ewe.thin_sessions >= 3 for ewe in ewes)
    if often:
        yield f"{words.count(often, 'ewe')} thin in three sessions or more: teeth, feet, udder, dung?"
    lost = words.number(_whole(tables, "ewes_unlikely"))
    if lost:
        yield f"What becomes of the {words.count(int(lost), 'ewe')} unlikely in time: a later ram, or sold?"


def sources(tables: Tables) -> tuple[str, ...]:
    """Where the figures come from, and how each is known."""
    system = words.text(tables.register()["system"])
    band = [each for each in reference.figures("bands") if _is_tupping(each, system)]
    parts = [f"{each.keys['part']} {words.score(each.value or 0)}, {source(each)}" for each in band]
    return (
        f"Scores for tupping, unless the adviser has set others: {'; '.join(parts)}.",
        "Days to gain one score (median and 90 % range), unless the adviser has set others or this farm's "
        "own sessions have taught others: "
        + "; ".join(_days_per_score(tables, each) for each in reference.figures("days_per_score"))
        + ".",
        "Dates: " + "; ".join(_timing(each) for each in TIMING) + ".",
        "Intervals are 90 %. Shares: Wilson 1927; change of a share: Newcombe 1998, method 10.",
    )


def _is_tupping(figure: Figure, system: str) -> bool:
    return figure.keys["system"] == system and figure.keys["stage"] == "tupping"


def _days_per_score(tables: Tables, figure: Figure) -> str:
    grazing = figure.keys["grazing"]
    used = next(days for known, days in tables.gain.items() if known == grazing)
    return f"{grazing} grazing {used.median:.0f} ({used.low:.0f}–{used.high:.0f}), {source(figure)}"


def _timing(name: str) -> str:
    """'gestation 147 (144–152) days, New Mexico State University extension (published)'."""
    figure = reference.figure("timing", figure=name)
    span = "" if figure.low is None else f"{figure.low:.0f}–{figure.high:.0f}"
    value = "" if figure.value is None else f"{figure.value:.0f}"
    number = f"{value} ({span})" if value and span else value or span
    return f"{name} {number} {figure.unit.split(',')[0]}, {source(figure)}"
