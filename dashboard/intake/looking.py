"""What an offered file would do, as the visitor now asking may see it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from dashboard import access, data
from dashboard.guard.stopped import BUSY
from dashboard.intake import counter
from dashboard.intake.counter import Offered
from dashboard.views.files import Abilities
from dashboard.views.offer_state import BOTH, OfferState
from pipelines.warehouse import looking
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.errors import GivenTwiceError, WarehouseBusyError, WarehouseError, WrongUseError
from pipelines.warehouse.importing import Given
from pipelines.warehouse.looking import Held, Look


@dataclass(frozen=True, slots=True)
class OfferPage:
    """What the page of an offered file shows. `look` is None, and `trouble` says why, when it cannot be
    imported by this visitor or just now."""

    offered: Offered
    look: Look | None
    trouble: str = ""


def who() -> str:
    """The name under which the visitor's files are kept."""
    asking = access.visitor()
    return asking.name if asking else ""


def given(state: OfferState) -> Given:
    """What the visitor says of a file, held to the farms that are theirs."""
    replaces = state.replaces if state.replaces != BOTH else ""
    return Given(
        farm=state.farm or None,
        scored_on=state.scored_on,
        group=state.group or None,
        headings=state.columns,
        supersede=replaces or None,
        only_farms=access.scope(),
    )


def page(token: str, state: OfferState) -> OfferPage | None:
    """The page of an offered file; None when this visitor has none of that token."""
    offered = counter.find(data.settings().home, who(), token) if access.may("import") else None
    if offered is None or offered.report is not None:
        return OfferPage(offered, None) if offered else None
    try:
        return OfferPage(offered, look(offered, state))
    except WarehouseBusyError:
        return OfferPage(offered, None, BUSY)
    except WarehouseError as error:
        return OfferPage(offered, None, str(error))


def look(offered: Offered, state: OfferState) -> Look:
    """What importing would do. Raises `WarehouseError` as `looking.look_at` does."""
    return looking.look_at(data.settings(), offered.name, offered.path.read_bytes(), given(state))


def remembered_for(seen: Look) -> str | None:
    """The farm for whose files the headings are remembered; None is every farm."""
    return next(iter(seen.farms)) if len(seen.farms) == 1 else None


def to_import(state: OfferState, seen: Look) -> Given:
    """What is handed to the import: as it was looked at."""
    return replace(given(state), remember_for=remembered_for(seen))


@dataclass(frozen=True, slots=True)
class HeldPage:
    """What the page of an imported file shows; `trouble` says why there is nothing to show."""

    held: Held | None
    changes: Difference | None = None
    trouble: str = ""


def abilities() -> Abilities:
    """What the visitor now asking may do with files."""
    return Abilities(bring=access.may("import"), correct=access.may("withdraw"))


def held(record: str, by: str) -> HeldPage | None:
    """The page of an imported file; None for those who may not correct it, and when there is no such file."""
    if not access.may("withdraw"):
        return None
    try:
        return HeldPage(*looking.look_at_held(data.settings(), record, by or None))
    except WarehouseBusyError:
        return HeldPage(None, trouble=BUSY)
    except GivenTwiceError as error:
        return HeldPage(None, trouble=str(error))
    except WrongUseError:
        return None
    except WarehouseError as error:
        return HeldPage(None, trouble=str(error))
