"""How readiness is worked out, in plain words for the page of that name: text with its sources."""

from __future__ import annotations

from dataclasses import dataclass

from pipelines import reference
from pipelines.readiness.condition import published_errors
from pipelines.readiness.words import percent
from pipelines.reference import HowKnown
from pipelines.settings import DaysPerScore

TITLE = "How readiness is worked out"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure or a method comes from."""

    text: str
    how_known: HowKnown


@dataclass(frozen=True, slots=True)
class Section:
    """One step of the working: heading, paragraphs and sources."""

    heading: str
    paragraphs: tuple[str, ...]
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class Trial:
    """A simulated world, and the share of 90 % intervals that held what came, recorded and in truth; `told`:
    with the setting `hold_when_right`."""

    world: str
    recorded: float
    true: float
    told: bool = False


TRIALS = (  # kept true by tests/pipelines/readiness/test_backtest.py
    Trial("with everything as assumed", 0.90, 0.89),
    Trial("where fat ewes gain more slowly than thin ones", 0.82, 0.80),
    Trial("where scorers read 0.15 higher each session", 0.90, 0.67),
    Trial("where a fifth of the ewes, mostly thin, is sold between sessions", 0.89, 0.86),
    Trial("where ewes that have come right are drawn off and held", 0.08, 0.03),
    Trial("where they are held, and the working is told so (hold_when_right)", 0.76, 0.63, told=True),
)


def sections() -> tuple[Section, ...]:
    """The page, top to bottom; figures are read from the reference so that the words stay true."""
    return (_question(), _condition(), _growth(), _farm(), _answer(), _trust(), _limits())


def _question() -> Section:
    return Section(
        "What is asked",
        (
            "Of the ewes scored today, how many will be inside the band for tupping on the day they should "
            "be ready: rams in, less the days of flushing (14 unless set)?",
            "A ewe is ready when an exact scorer, using the same step, would give her a score inside the "
            "band. In half scores, 2.5 stands for anything from 2.25 to 2.75.",
        ),
    )


def _condition() -> Section:
    ewe, session = published_errors()
    return Section(
        "What condition she is in",
        (
            "A score is a reading by hand. A very low or very high one is partly error, so each ewe's "
            "condition is taken to lie somewhat nearer the mean of her group than her score says. The more "
            "alike the group, the stronger the pull. Rounding to half or quarter scores is allowed for.",
            f"One reading errs by about {ewe:.2f} of a score for each ewe (standard deviation). A whole "
            f"session can read high or low by about {session:.2f}: scorers differ. Both are worked out from "
            "published agreement between scorers and can be set.",
            "A group of one has no mean to be pulled to. Where everyone has the same score, all small "
            "differences are taken for error.",
        ),
        (
            *_from("scorer_agreement"),
            *_from("real_flocks"),
            Source("Kelley 1947, Fundamentals of Statistics: regression to the group's mean", "from memory"),
            Source("Sheppard 1898, doi:10.1112/plms/s1-29.1.353: correction for grouping", "from memory"),
        ),
    )


def _growth() -> Section:
    days = reference.days_per_score()
    return Section(
        "How fast she gains",
        (
            f"Days to gain one score: on best grazing {_days(days['best'])}; on ordinary grazing "
            f"{_days(days['ordinary'])}. Holding changes nothing on average. Hard going lets ewes lose "
            "condition, never faster than a cap. No published limit for loss was found: the cap is the "
            "adviser's own setting.",
            "All ewes of a group share their field and their season. If the grass is poor, it is poor for "
            "all: so the doubt about the rate does not shrink with the number of ewes. Ewes also differ from "
            "one another, and one that has done well since weaning is likely to go on so.",
            "Every ewe is taken to go on as her group is grazed, and over the top if there is time for it. "
            "Where ewes that have come right are drawn off and held, say so (hold_when_right = true in "
            "settings.toml): then none goes over by gaining, and only those over when scored count as over. "
            "It is a setting, not the rule, because it flatters a flock that nobody draws. The page of past "
            "projections shows which of the two came nearer in this practice.",
        ),
        (*_from("days_per_score"), *_from("growth")),
    )


def _farm() -> Section:
    return Section(
        "What the farm's own sessions add",
        (
            "Two sessions in a season show how fast that farm's ewes really gained: ewe by ewe where they "
            "are identified, else by the means of the group, with a wider margin when ewes may have been "
            "sold or moved. A farm's figure counts for more the more sessions it rests on, and the more the "
            "farms of this practice are seen to differ. A farm with no such sessions gets the published "
            "range.",
            "Grazing that was written down teaches of that grazing. Where nothing was written down the ewes "
            "may have been on anything, so that teaches only of groups of which nothing is written down "
            "either.",
            "When scores have risen faster than expected, either the ewes gained fast or the last session "
            "was read high. The working keeps both possible, and gives each its due.",
        ),
        (Source("Efron & Morris 1975, doi:10.1080/01621459.1975.10479864: empirical Bayes", "from memory"),),
    )


def _answer() -> Section:
    return Section(
        "How sure the answer is",
        (
            "The interval is meant to hold the truth nine times in ten. It carries the scorer's error, the "
            "doubt about the rate, the luck of a finite number of ewes and those that were not scored.",
            "Nothing is drawn by lot: the same scores always give the same answer.",
        ),
    )


def _trust() -> Section:
    return Section(
        "How it has been tried",
        (
            "On simulated practices of 400 farms, whose truth was known but not told, the mean error of "
            "the share recorded was 6 points; assuming no change it was 19, and assuming one score in 45 "
            "days 13. A farm's learned rate erred by 0.70 of the published spread, the published range "
            "alone by 1.02 and the farm's own mean by 0.80.",
            "Worlds that break the assumptions were tried too. Of the 90 % intervals, these held: "
            + "; ".join(_told(trial) for trial in TRIALS)
            + ".",
            "Two lessons. Ewes that are held once they are right are many where this working expects them "
            "over the top; told of it, it comes far nearer, though still too sure of itself, since held ewes "
            "make the farm's gain look slow. And scorers who drift mislead it about the truth without any "
            "record telling: recalibrate before the season.",
        ),
    )


def _told(trial: Trial) -> str:
    held = f"{percent(trial.recorded)} what was then recorded and {percent(trial.true)} the share truly ready"
    return f"{trial.world}, {held}"


def _limits() -> Section:
    return Section(
        "What it cannot do",
        (
            "It knows nothing of disease, teeth, feet, weather or what will be fed. Thin ewes that do not "
            "gain are to be examined. What to test, treat, feed or cull is decided with the flock's own vet.",
        ),
    )


def _days(days: DaysPerScore) -> str:
    return f"{days.median:g}, nine times in ten between {days.low:g} and {days.high:g}"


def _from(table: str) -> tuple[Source, ...]:
    found = {(entry.source, entry.how_known): None for entry in reference.figures(table)}
    return tuple(Source(source, how_known) for source, how_known in found)
