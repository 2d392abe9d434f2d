"""`tupping release`: the anonymised comparison of a discussion group."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

import click

from pipelines.cli_options import WAIT, Surroundings, practice

if TYPE_CHECKING:
    from dashboard.meeting.handing import HandedOut


@click.command(epilog='Example: tupping release "Marl Vale" -o for-the-meeting/')
@click.argument("group")
@click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    metavar="FOLDER",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where the files go; the folder is made.",
)
@click.option("--season", type=int, help="Year of rams in; the season in hand unless given.")
@practice
@WAIT
def release(surroundings: Surroundings, group: str, folder: Path, season: int | None, wait: float) -> None:
    """Write the anonymised comparison of a discussion group: a file to serve, one page, and a paper to print.

    What would tell who is who is left out or refused, with the reason. The private cards that tell each farm
    its letter go into a folder of their own.
    """
    from dashboard.meeting.handing import Asked, hand_out
    from pipelines.queries import Reader
    from pipelines.release import ReleaseError
    from pipelines.warehouse.snapshot import Snapshot

    snapshot = Snapshot(surroundings.settings.home)
    try:
        done = hand_out(Reader(snapshot), surroundings.settings, Asked(group, season, folder, wait))
    except ReleaseError as error:
        raise click.ClickException(f"refused: {error}") from error
    finally:
        snapshot.close()
    surroundings.say(asdict(done), "\n".join(_lines(done, folder)))


def _lines(done: HandedOut, folder: Path) -> list[str]:
    return [
        f"Season {done.season}, {done.letters} farms, for the group:",
        *(f"  {path}" for path in done.files),
        f"For you alone, never for the group: {len(done.cards)} cards in {folder / 'cards-private'}, "
        "named by farm. Hand each to its farm.",
        *(f"{farm} {reason}" for farm, reason in done.left_out.items()),
        f"Show it without the warehouse: tupping serve --release {quote(str(done.files[0]))}",
    ]


commands = (release,)
