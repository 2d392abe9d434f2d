"""The commands that put something on paper, on a stick reader or into a calendar."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipelines.cli_options import Surroundings, day, practice

if TYPE_CHECKING:
    from dashboard.brief.tables import Tables
    from pipelines.queries import Reader

PDF = click.option(
    "-o",
    "--output",
    "path",
    required=True,
    metavar="FILE.pdf",
    type=click.Path(dir_okay=False, path_type=Path),
)
SEASON = click.option("--season", type=int, help="Year of rams in; the season in hand unless given.")


@click.command(epilog="Example: tupping brief H01 -o high-sallow.pdf")
@click.argument("farm")
@PDF
@SEASON
@practice
def brief(surroundings: Surroundings, farm: str, path: Path, season: int | None) -> None:
    """Print one farm's visit brief: two to four A4 pages, black and white."""
    from dashboard.brief import compose, pdf

    found = _tables(surroundings, farm, season)
    _keep(surroundings, {path: pdf.render(compose.compose(found))})


@click.command(epilog="Example: tupping draw H01 -o high-sallow/")
@click.argument("farm")
@click.option("-o", "--output", "folder", required=True, type=click.Path(file_okay=False, path_type=Path))
@SEASON
@practice
def draw(surroundings: Surroundings, farm: str, folder: Path, season: int | None) -> None:
    """Write one farm's draw list as CSV, and a list for the stick reader for each action."""
    from dashboard.brief import compose, drawlist

    ewes = compose.ewes_to_draw(_tables(surroundings, farm, season))
    if not ewes:
        raise click.ClickException(
            f"no ewe of {farm} outside the band was recorded by tag in her latest session: draw by score"
        )
    _keep(surroundings, {folder / name: content for name, content in drawlist.files(farm, ewes).items()})
    if unread := drawlist.without_number(ewes):
        click.echo(unread, err=True)


@click.command(epilog="Example: tupping calendar H01 -o high-sallow.ics")
@click.argument("farm", required=False)
@click.option(
    "-o",
    "--output",
    "path",
    required=True,
    metavar="FILE.ics",
    type=click.Path(dir_okay=False, path_type=Path),
)
@practice
def calendar(surroundings: Surroundings, farm: str | None, path: Path) -> None:
    """Write the season's dates of one farm, or of the whole practice, for any calendar program.

    Importing a later file moves the dates that have changed and doubles none.
    """
    from dashboard.brief import calendar as dates
    from dashboard.brief import gather
    from pipelines import queries

    reader = _reader(surroundings)
    edition = dates.Edition(queries.about(reader).as_of, reader.generation())
    if farm is None:
        farms = gather.practice_dates(reader, surroundings.settings)
    else:
        farms = [gather.farm_dates(_tables(surroundings, farm))]
    title = "Tupping: all flocks" if farm is None else f"Tupping: {farms[0].name}"
    _keep(surroundings, {path: dates.render(title, farms, edition)})


@click.command(epilog="Example: tupping sheets H01 -o sheets.pdf --date 2026-09-20")
@click.argument("farm")
@PDF
@click.option("--date", "scoring", callback=day, metavar="DATE", help="Day of scoring; today unless given.")
@practice
def sheets(surroundings: Surroundings, farm: str, path: Path, scoring: datetime | None) -> None:
    """Print blank recording sheets for each group: counting by score, and ewe by ewe."""
    from dashboard.brief import gather
    from dashboard.brief.sheets import render

    found = _tables(surroundings, farm)
    on = scoring.date() if scoring else surroundings.settings.today()
    _keep(surroundings, {path: render(gather.blank_sheets(found, on))})


@click.command(epilog="Example: tupping plan H01 -o plan.pdf --weight 62")
@click.argument("farm")
@PDF
@click.option(
    "--weight",
    type=click.FloatRange(20, 150),
    default=70.0,
    show_default=True,
    help="Live weight of a ewe, kg.",
)
@practice
def plan(surroundings: Surroundings, farm: str, path: Path, weight: float) -> None:
    """Print one farm's work sheet: how many to score next time, thin ewes to examine, feed for the gain."""
    from dashboard.brief.choices import Choices
    from dashboard.brief.plan import render

    _keep(surroundings, {path: render(_tables(surroundings, farm), Choices(weight=weight))})


commands = (brief, draw, calendar, sheets, plan)


def _reader(surroundings: Surroundings) -> Reader:
    from pipelines.queries import Reader
    from pipelines.warehouse.snapshot import Snapshot

    return Reader(Snapshot(surroundings.settings.home))


def _tables(surroundings: Surroundings, farm: str, season: int | None = None) -> Tables:
    """The farm's tables; a brief that cannot be written is wrong use, and says what to do."""
    from dashboard.brief import gather
    from dashboard.brief.tables import BriefError

    try:
        found = gather.tables(_reader(surroundings), surroundings.settings, farm, season)
        found.dates()
    except BriefError as error:
        raise click.UsageError(str(error)) from error
    return found


def _keep(surroundings: Surroundings, files: Mapping[Path, bytes]) -> None:
    """Write files and name them."""
    for path, content in files.items():
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        except OSError as error:
            raise click.ClickException(f"{path} cannot be written: {error.strerror}") from error
    surroundings.say({"files": [str(path) for path in files]}, "\n".join(f"{path} written" for path in files))
