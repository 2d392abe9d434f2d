"""The `tupping` command: what `pipelines.cli` offers, what is printed for a visit, and the screens."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click
from platformdirs import user_data_path

from dashboard.accounts.commands import account
from dashboard.accounts.recording import recorded
from dashboard.brief.commands import commands as printing
from dashboard.meeting.commands import commands as meeting_commands
from pipelines.cli import commands
from pipelines.cli_options import Surroundings, practice

if TYPE_CHECKING:
    from dashboard.guard.doors import Doors
    from dashboard.server import Address
    from pipelines.settings import Settings

PORT = click.option(
    "--port", type=click.IntRange(1, 65_535), default=8_050, show_default=True, help="Port to answer on."
)


@click.group(epilog="Example: tupping demo")
@click.version_option(package_name="tupping-readiness")
def main() -> None:
    """Condition scores of many flocks in; which ewes and farms need attention before the rams go in."""


@main.command(epilog="Example: tupping serve --port 8050")
@PORT
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to listen on. Beyond this machine everybody has to sign in: see tupping account.",
)
@click.option(
    "--behind-proxy", is_flag=True, help="A proxy with TLS stands before it and says for whom it asks."
)
@click.option(
    "--release",
    metavar="FILE",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Show the comparison in this file of tupping release instead, to anybody, and nothing else.",
)
@practice
def serve(surroundings: Surroundings, port: int, host: str, behind_proxy: bool, release: Path | None) -> None:
    """Show the dashboard: to this machine's own browser, or to those who sign in."""
    from dashboard.server import Address

    address = Address(host, port)
    if release:
        _serve_release(release, address)
    else:
        _serve(surroundings.settings, address, _doors(surroundings.settings, address, behind_proxy))


def _doors(settings: Settings, address: Address, behind_proxy: bool) -> Doors:
    from dashboard.guard.doors import Doors

    doors = Doors(settings.home, not address.this_machine_only(), behind_proxy)
    if trouble := doors.trouble():
        raise click.UsageError(trouble)
    if doors.others and not doors.proxy:
        click.echo("Passwords and figures travel in the clear: beyond your own network use --behind-proxy.")
    return doors


def _serve_release(release: Path, address: Address) -> None:
    from dashboard.meeting.serving import create_server
    from dashboard.server import run

    run(create_server(release), address)


@main.command(epilog="Example: tupping demo --no-serve")
@click.option("--no-serve", is_flag=True, help="Stop after loading.")
@click.option("--home", type=click.Path(file_okay=False, path_type=Path), help="Folder for the demo's data.")
@PORT
def demo(no_serve: bool, home: Path | None, port: int) -> None:
    """Load the invented demo farms into a data folder of their own and show the dashboard.

    Some of their rows are broken on purpose, so that you see how they are named; that is no failure.
    """
    from demo_farms import AS_OF
    from pipelines.settings import load

    settings = load(home or user_data_path("tupping-demo"), AS_OF)
    _load_demo(settings, AS_OF)
    if not no_serve:
        from dashboard.guard.doors import Doors
        from dashboard.server import HOST, Address

        _serve(settings, Address(HOST, port), Doors(settings.home))


def _load_demo(settings: Settings, as_of: date) -> None:
    from demo_farms import FILES
    from pipelines.cli_report import import_lines, progress_bar
    from pipelines.warehouse.errors import WarehouseError
    from pipelines.warehouse.importing import import_paths

    click.echo(f"Loading the demo farms into {settings.home} (their today is {as_of}).")
    try:
        with progress_bar() as start:
            report = import_paths([FILES], settings, start_progress=start)
    except WarehouseError as error:
        raise click.ClickException(str(error)) from error
    click.echo("\n".join(import_lines(report)))


def _serve(settings: Settings, address: Address, doors: Doors) -> None:
    from dashboard.accounts.account import AccountError
    from dashboard.app import create_app
    from dashboard.server import run
    from dashboard.upkeep import begin

    meanwhile = _bring_up_to_date(settings)
    try:
        server = create_app(settings, doors).server
    except AccountError as error:
        raise click.ClickException(str(error)) from error
    changes = meanwhile or settings.as_of is None
    with begin(settings.home, settings.as_of) if changes else nullcontext():
        run(server, address)


def _bring_up_to_date(settings: Settings) -> bool:
    """Publish anew what an older version of this program left behind. True when only the day or the settings
    are others than those published: then that can be shown while it is published anew."""
    from pipelines.warehouse.errors import WarehouseBusyError
    from pipelines.warehouse.publish import is_stale, refresh, serves_meanwhile

    if not is_stale(settings):
        return False
    if serves_meanwhile(settings):
        click.echo(f"The last figures are shown while those as of {settings.today()} are worked out.")
        return True
    try:
        if refresh(settings):
            click.echo(f"Every figure worked out anew as of {settings.today()}.")
    except WarehouseBusyError as error:
        click.echo(f"Figures stay as last published: {error}")
    return False


for _command in (*commands, *printing, *meeting_commands):
    main.add_command(recorded(_command))
main.add_command(account)

if __name__ == "__main__":
    main()
