"""What stops something that a visitor asked for, said as an answer with the remedy."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

import flask

from dashboard.guard.answers import RefusedError
from pipelines.release import ReleaseError
from pipelines.warehouse.errors import NotYoursError, WarehouseBusyError, WarehouseError, WrongUseError

WAIT_SECONDS = 20.0  # for whoever else is writing, before a visitor is told
BUSY = "Somebody else is writing at this moment. Nothing was done: try again in a few seconds."
NO_ROOM = (
    "The practice’s machine could not write ({}). Nothing was done: make room on its disk, then try again."
)

P = ParamSpec("P")


def in_words(act: Callable[P, flask.Response]) -> Callable[P, flask.Response]:
    """`act`, with what stops the warehouse, or a release, said as an answer.

    Raises `RefusedError` in place of what stopped it.
    """

    @wraps(act)
    def acting(*args: P.args, **kwargs: P.kwargs) -> flask.Response:
        try:
            return act(*args, **kwargs)
        except WarehouseBusyError as error:
            raise RefusedError(503, BUSY, 5) from error
        except NotYoursError as error:
            raise RefusedError(403, _sentence(error)) from error
        except (WrongUseError, ReleaseError) as error:
            raise RefusedError(409, _sentence(error)) from error
        except WarehouseError as error:
            raise RefusedError(507, _sentence(error)) from error
        except OSError as error:
            raise RefusedError(507, NO_ROOM.format(error.strerror or error)) from error

    return acting


def _sentence(error: Exception) -> str:
    text = str(error)
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}."
