"""How readiness is worked out, in plain words for the page of that name: text with its sources."""

from __future__ import annotations

from dataclasses import dataclass

from pipelines import reference
from pipelines.readiness.condition import published_errors
from pipelines.readiness.gain import Z95
from pipelines.readiness.pace import build_up_days, prior
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
    """A simulated world, and the share of 90 % intervals that held what came, recorded and in truth."""

    world: str
    recorded: float
    true: float


TRIALS = (  # kept true by tests/pipelines/readiness/test_backtest.py
    Trial("with everything as assumed", 0.91, 0.90),
    Trial("where fat ewes gain more slowly than thin ones", 0.87, 0.85),
    Trial("where scorers read 0.15 higher each session", 0.90, 0.67),
    Trial("where a fifth of the ewes, mostly thin, is sold between sessions", 0.90, 0.86),
    Trial("where all ewes that have come right are drawn off and held", 0.83, 0.92),
    Trial("where half of them are", 0.95, 0.96),
    Trial("where some farms hold all of them, some half and some none", 0.90, 0.93),
    Trial("where every farm does one or another of these from season to season", 0.88, 0.85),
    Trial("where all gain on, but at half their pace", 0.85, 0.81),
    Trial("where all are held, each farm beginning at a condition of its own in the band", 0.83, 0.92),
    Trial("where no grazing is written down, and all of it is ordinary", 0.91, 0.89),
    Trial("where none is, and ewes stand still until the score before tupping", 0.91, 0.91),
    Trial(
        "where none is, and some farms’ ewes stand still, some gain half as fast and some gain", 0.91, 0.89
    ),
    Trial("where none is, and every farm does one or another of these from season to season", 0.92, 0.92),
    Trial("where none is, and on half of the farms it is the best grazing", 0.91, 0.89),
    Trial("where none is, all of it is ordinary and all ewes that have come right are held", 0.84, 0.81),
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
            _unwritten(),
            "All ewes of a group share their field and their season. If the grass is poor, it is poor for "
            "all: so the doubt about the rate does not shrink with the number of ewes. Ewes also differ from "
            "one another, and one that has done well since weaning is likely to go on so.",
            "Ewes that have come right are held on some farms, so that the grass goes to the thin ones, and "
            "on others go on with the rest, some of them over the top. So a share of them is taken to go on "
            "gaining and the others to stay as they are; thin ewes gain either way until they are right. "
            "How large that share is, is learned (below). Where you know, settings.toml can say so: "
            "hold_when_right = true holds all, false none.",
        ),
        (
            *_from("days_per_score"),
            *_from("growth"),
            Source(
                "Where grazing is not written, every share of the ordinary rate as likely: our own choice, "
                "as no published figure was found",
                "common practice",
            ),
        ),
    )


def _unwritten() -> str:
    """How grazing is taken of which nothing was written."""
    mean, sd = prior()
    low, high = mean - Z95 * sd, mean + Z95 * sd
    return (
        "Where the grazing of a group was not written down, it is not taken for ordinary: its ewes may stand "
        f"still, or gain, and many flocks do the one until about {build_up_days() // 7} weeks before the "
        "rams (common practice) and the other from then on. So their pace, as a share of the ordinary rate, "
        "is looked for in each of the two parts of the season. Before any session speaks every share from "
        f"none to all is as likely, and a drift as on holding comes with it: {percent(mean)}, nine times in "
        f"ten between {_signed(low)} and {percent(high)}. Sessions of the practice, and of the farm itself, "
        "narrow that (below). Writing the grazing down narrows the range at once."
    )


def _signed(share: float) -> str:
    return f"a loss at {percent(-share)}" if share < 0 else percent(share)


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
            "either: how the practice’s farms are spread in each part of the season, how far a farm does "
            "alike in both and from one season to another, and so how much its own past says. All groups of "
            "a farm whose grazing is not written are taken to share one pace; where they do not, the range "
            "is too narrow.",
            "How far ewes are held that have come right shows in how many were over the top in the later "
            "session: as many as the rise of the mean would bring if none were held, only those who were "
            "over before if all were, or a number between. Whole sessions are compared, not single ewes, as "
            "the errors of scoring draw single high and low scores together whether ewes are held or not.",
            "Before any session speaks, every share from none to all is as likely, which counts for "
            f"{_prior_farms()} farms. Then the practice's farms say how farms are spread, and how often a "
            "farm keeps to its way from one season to another; and each farm's own sessions where in that "
            "spread it lies. What is left open widens the interval, and is shared by all groups of the farm. "
            "Where many were held the mean rises less than the ewes gained, and the rate is corrected for "
            "it.",
            "When scores have risen faster than expected, either the ewes gained fast or the last session "
            "was read high. The working keeps both possible, and gives each its due.",
        ),
        (
            Source("Efron & Morris 1975, doi:10.1080/01621459.1975.10479864: empirical Bayes", "from memory"),
            Source(
                "Dempster, Laird & Rubin 1977, doi:10.1111/j.2517-6161.1977.tb01600.x: ways of the farms",
                "from memory",
            ),
        ),
    )


def _answer() -> Section:
    return Section(
        "How sure the answer is",
        (
            "The interval is meant to hold the truth nine times in ten. It carries the scorer's error, the "
            "doubt about the rate and about how many right ewes are held, the luck of a finite number of "
            "ewes and those that were not scored.",
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
            "Worlds that break the assumptions were tried too; the page of past projections has a table of "
            f"all {len(TRIALS)}. {_told(TRIALS[0])} {_told(min(TRIALS, key=lambda trial: trial.true))}",
            "Four lessons. Where right ewes gain on at half their pace it stays too sure of itself, as it "
            "knows only going on and staying. Where all are held they lie so close together that one "
            "generous session counts many as over: fewer of the records are held than of the truth. "
            "Scorers who drift mislead it about the truth without any record telling: recalibrate before "
            "the season: how one drifts is not modelled, as nothing in the scores tells it from a gain. And "
            "where no grazing is written and many are held, a mean that stands still may be that of ewes who "
            "gain nothing or of ewes who are not let gain: its ranges are then too narrow.",
        ),
    )


def _prior_farms() -> str:
    return f"{reference.number('growth', name='weight of the even prior on holding'):g}"


def _told(trial: Trial) -> str:
    return (
        f"In a world {trial.world}, {percent(trial.recorded)} of the 90 % intervals held what was then "
        f"recorded and {percent(trial.true)} the share truly ready."
    )


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
