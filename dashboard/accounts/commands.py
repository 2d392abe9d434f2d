"""`tupping account …`: who may sign in. Passwords are asked for, never written on the command line."""

from __future__ import annotations

import functools
import getpass
from collections.abc import Callable
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from dashboard.accounts.account import ROLE_WORDS, ROLES, Account, AccountError, Role
from pipelines.cli_options import Surroundings, practice

if TYPE_CHECKING:
    from dashboard.accounts.audit import Event

HERE = "command line"


@click.group(epilog="Example: tupping account add morag --role practice")
def account() -> None:
    """Say who may sign in to the dashboard."""


def _codes(_context: click.Context, _option: click.Parameter, text: str | None) -> frozenset[str]:
    return frozenset(part.strip() for part in (text or "").split(",") if part.strip())


def _named_failures(command: Callable[..., None]) -> Callable[..., None]:
    @functools.wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        try:
            command(*args, **kwargs)
        except AccountError as error:
            raise click.UsageError(str(error)) from error

    return run


@account.command(epilog="Example: tupping account add rhys --role adviser --farms H01,H02")
@click.argument("name")
@click.option(
    "--role",
    type=click.Choice(ROLES),
    required=True,
    help="practice sees everything, an adviser the --farms, a member what was released to the --groups.",
)
@click.option("--farms", callback=_codes, metavar="A,B", help="Codes of the adviser's farms.")
@click.option("--groups", callback=_codes, metavar="G,H", help="The member's discussion groups.")
@practice
@_named_failures
def add(
    surroundings: Surroundings, name: str, role: Role, farms: frozenset[str], groups: frozenset[str]
) -> None:
    """Let NAME sign in; the password is asked for."""
    from dashboard.accounts import store

    home = surroundings.settings.home
    new = Account(name, role, farms, groups)
    store.add(home, new, _new_password())
    note(surroundings, "account added", account=name, role=role)
    sentence = f"{name} may sign in and see {ROLE_WORDS[role]}."
    surroundings.say(_public(new), " ".join([sentence, *_unknown(surroundings, new)]))


@account.command(name="list", epilog="Example: tupping account list")
@practice
@_named_failures
def list_(surroundings: Surroundings) -> None:
    """Name every account and what it may see."""
    from dashboard.accounts import store

    accounts = store.every(surroundings.settings.home)
    lines = [f"{one.name}  {one.role}  {', '.join(sorted(one.farms | one.groups))}" for one in accounts]
    surroundings.say([_public(one) for one in accounts], "\n".join(lines) or "No accounts yet.")


@account.command(epilog="Example: tupping account remove rhys")
@click.argument("name")
@practice
@_named_failures
def remove(surroundings: Surroundings, name: str) -> None:
    """Let NAME sign in no more; open sessions end at once."""
    from dashboard.accounts import store

    store.remove(surroundings.settings.home, name)
    note(surroundings, "account removed", account=name)
    surroundings.say({"removed": name}, f"{name} may not sign in any more.")


@account.command(epilog="Example: tupping account password rhys")
@click.argument("name")
@practice
@_named_failures
def password(surroundings: Surroundings, name: str) -> None:
    """Give NAME a new password; open sessions end, and counted wrong guesses are forgotten."""
    from dashboard.accounts import store

    store.known(surroundings.settings.home, name)
    store.set_password(surroundings.settings.home, name, _new_password())
    note(surroundings, "password changed", account=name)
    surroundings.say({"changed": name}, f"{name} signs in with the new password from now on.")


def note(surroundings: Surroundings, event: Event, **details: str) -> None:
    """Record what was done from the command line, and by which user of this machine.

    Raises `click.ClickException` when it cannot be written down.
    """
    from dashboard.accounts import audit

    home = surroundings.settings.home
    try:
        audit.note(home, event, getpass.getuser(), HERE, **details)
    except OSError as error:
        raise click.ClickException(
            f"the record of what is done (audit.jsonl in {home}) cannot be written to: {error.strerror}. "
            "Ask for write permission, or name another folder with --home"
        ) from error


def _new_password() -> str:
    text: str = click.prompt("Password", hide_input=True, confirmation_prompt="Once more")
    return text


def _public(one: Account) -> dict[str, Any]:
    kept = asdict(one)
    return {
        "name": kept["name"], "role": kept["role"], "farms": sorted(one.farms), "groups": sorted(one.groups)
    }  # fmt: skip


def _unknown(surroundings: Surroundings, new: Account) -> list[str]:
    """A sentence naming farms and groups that are not in the register, which may be slips of the pen."""
    from pipelines import queries
    from pipelines.warehouse.alike import did_you_mean
    from pipelines.warehouse.errors import WrongUseError
    from pipelines.warehouse.snapshot import Snapshot

    if not new.farms | new.groups:
        return []
    snapshot = Snapshot(surroundings.settings.home)
    known: dict[str, str] = {}
    groups: list[str] = []
    try:
        reader = queries.Reader(snapshot)
        known, groups = queries.farm_names(reader), queries.discussion_groups(reader)
    except WrongUseError:
        pass  # nothing has been imported so far
    finally:
        snapshot.close()
    unknown = sorted((new.farms - set(known)) | (new.groups - set(groups)))
    meant = [said for farm in sorted(new.farms - set(known)) if (said := did_you_mean(farm, known))]
    if not unknown:
        return []
    return [f"Not in the register so far: {', '.join(unknown)}.", *(meant or ["Check how it is written."])]
