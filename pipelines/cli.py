"""The commands that need no screen: import, export, corrections, check, rebuild, backup.

Each reads its options, calls one function of `pipelines.warehouse`, prints and sets the exit status: 0 done,
1 done but something was refused and is named, 2 wrong use. Nothing is decided here.
"""

from __future__ import annotations

import sys
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import click

from pipelines.cli_options import WAIT, Surroundings, day, echo_json, pairs, practice
from pipelines.cli_report import import_lines, import_object, progress_bar

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pipelines.readiness.backtest import Report
    from pipelines.warehouse.exporting import Format

REFUSED = 1


@click.command(name="import", epilog="Example: tupping import scores/ register.csv --as-of 2026-09-20")
@click.argument("paths", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@click.option("--farm", help="Farm code, for files without a farm column.")
@click.option("--date", "scored_on", callback=day, metavar="DATE", help="Day of scoring, likewise.")
@click.option("--group", help="Group of ewes, likewise.")
@click.option(
    "--map",
    "headings",
    multiple=True,
    callback=pairs,
    metavar="HEADING=COLUMN",
    help="What a heading means; remembered for the farm (or, without --farm, for all).",
)
@click.option("--supersede", metavar="FILE", help="Imported file that the one PATH replaces.")
@practice
@WAIT
def import_(
    surroundings: Surroundings,
    paths: tuple[Path, ...],
    farm: str | None,
    scored_on: datetime | None,
    group: str | None,
    headings: dict[str, str],
    supersede: str | None,
    wait: float,
) -> None:
    """Import score files and farm registers; folders are looked through.

    A file that was imported before changes nothing. Every row that is refused is named with its line.
    """
    from pipelines.warehouse.importing import Given, import_paths

    given = Given(farm, scored_on.date() if scored_on else None, group, headings, supersede)
    with progress_bar() as start:
        report = import_paths(paths, surroundings.settings, given, wait_seconds=wait, start_progress=start)
    if surroundings.as_json:
        echo_json(import_object(report))
    else:
        click.echo("\n".join(import_lines(report)))
    raise SystemExit(REFUSED if report.something_refused() else 0)


@click.command(epilog="Example: tupping export session_summary --format csv -o summary.csv")
@click.argument("table")
@click.option(
    "--format", "form", type=click.Choice(["csv", "json", "parquet"]), default="csv", show_default=True
)
@click.option(
    "-o", "--output", type=click.Path(dir_okay=False, path_type=Path), help="File; else the terminal."
)
@practice
def export(surroundings: Surroundings, table: str, form: Format, output: Path | None) -> None:
    """Write a published table as CSV, JSON or Parquet."""
    from pipelines.warehouse.exporting import export_current

    sink: BinaryIO | Path = output or sys.stdout.buffer
    rows = export_current(surroundings.settings, table, form, sink)
    if output and surroundings.as_json:
        echo_json({"table": table, "file": str(output), "rows": rows})
    elif output:
        click.echo(f"{rows} rows of {table} written to {output}")


@click.command(epilog="Example: tupping backtest")
@practice
def backtest(surroundings: Surroundings) -> None:
    """Go through past seasons: predict each later session from the earlier ones only, and compare.

    Errors and CRPS are in shares of the flock; 'nothing changes' and 'one score in 45 days' are the rivals.
    """
    from pipelines.queries import Reader, past_projections
    from pipelines.queries.backtest import horizon_lines, horizons, lines, of_next, reports
    from pipelines.warehouse.snapshot import Snapshot

    snapshot = Snapshot(surroundings.settings.home)
    try:
        rows = past_projections(Reader(snapshot))
    finally:
        snapshot.close()
    found, over = reports(of_next(rows)), horizons(rows)
    if surroundings.as_json:
        told = {f"{first} to {later}": each for (first, later), each in over.items()}
        echo_json(_plain(found) | {"horizons": {name: _plain(each) for name, each in told.items()}})
    else:
        click.echo("\n".join([*lines(found), *(["", *horizon_lines(over)] if found else [])]))


def _plain(found: Mapping[str, Report]) -> dict[str, object]:
    return {method: asdict(report) for method, report in found.items()}


@click.command(epilog="Example: tupping check")
@practice
@WAIT
def check(surroundings: Surroundings, wait: float) -> None:
    """Verify every checksum and row count of the warehouse against the archive."""
    from pipelines.warehouse.checking import check as run

    report = run(surroundings.settings, wait)
    if surroundings.as_json:
        echo_json(report)
    else:
        click.echo("\n".join(f"{fault.file}: {fault.what}" for fault in report.faults) or "Nothing is amiss.")
        click.echo(f"{report.files} files and {report.rows} rows compared with the archive.")
    raise SystemExit(REFUSED if report.faults else 0)


@click.command(epilog="Example: tupping rebuild")
@practice
@WAIT
def rebuild(surroundings: Surroundings, wait: float) -> None:
    """Make the warehouse anew from the archived files, each read as on its first day."""
    from pipelines.warehouse.rebuilding import rebuild as run

    report = run(surroundings.settings, wait)
    surroundings.say(
        report, f"{report.files} files read back from the archive; generation {report.generation}."
    )


@click.command(epilog="Example: tupping withdraw westbarn-2026-08-03.csv")
@click.argument("file")
@click.option("--undo", is_flag=True, help="Bring back a file that was withdrawn or replaced.")
@click.option(
    "--date",
    "scored_on",
    callback=day,
    metavar="DATE",
    help="Day that was given with it, where the same file was imported with several.",
)
@practice
@WAIT
def withdraw(
    surroundings: Surroundings, file: str, undo: bool, scored_on: datetime | None, wait: float
) -> None:
    """Let an imported file count no more; it stays in the archive and in the list of files."""
    from pipelines.warehouse.commands import reinstate_file, withdraw_file

    settings = surroundings.settings
    change = reinstate_file if undo else withdraw_file
    done = change(settings, file, wait, scored_on.date() if scored_on else None)
    surroundings.say(done, done.sentence())


@click.command(epilog="Example: tupping retag WESTBARN 0123 0456")
@click.argument("farm")
@click.argument("old")
@click.argument("new")
@practice
@WAIT
def retag(surroundings: Surroundings, farm: str, old: str, new: str, wait: float) -> None:
    """Record that ewe OLD of a farm now wears the tag NEW: her scores stay together."""
    from pipelines.warehouse.commands import retag_ewe

    done = retag_ewe(surroundings.settings, farm, old, new, wait)
    surroundings.say(done, done.sentence())


@click.command(epilog="Example: tupping backup practice.tar")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@practice
@WAIT
def backup(surroundings: Surroundings, file: Path, wait: float) -> None:
    """Write everything that cannot be made again into one file, accounts and releases too.

    The file is as confidential as the data folder: keep it where only the practice can read it.
    """
    from pipelines.warehouse.backups import backup as run

    size = run(surroundings.settings.home, file, wait)
    surroundings.say(
        {"file": str(file), "bytes": size, "confidential": True},
        f"{size:,} bytes written to {file}. It holds confidential data: the farms' names, contacts and "
        "figures, and the accounts. Keep it where only the practice can read it.",
    )


@click.command(epilog="Example: tupping restore practice.tar --home new-folder")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@practice
@WAIT
def restore(surroundings: Surroundings, file: Path, wait: float) -> None:
    """Fill an empty data folder from a backup; everybody signs in anew."""
    from pipelines.warehouse.backups import restore as run

    report = run(file, surroundings.settings, wait)
    surroundings.say(report, f"{report.files} files restored; generation {report.generation}.")


commands: tuple[click.Command, ...] = (
    import_,
    export,
    backtest,
    check,
    rebuild,
    withdraw,
    retag,
    backup,
    restore,
)
