"""Passwords are kept as argon2id hashes with the library's own recommended cost (RFC 9106)."""

from __future__ import annotations

import secrets
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

_HASHER = PasswordHasher()


def hashed(password: str) -> str:
    """The text to keep instead of `password`; a different one each time."""
    return _HASHER.hash(password)


def fits(kept: str | None, password: str) -> bool:
    """Whether `password` is the one that `kept` was made from.

    With no `kept` (nobody of that name) the same work is done for nothing, so that the time taken does
    not tell which names exist.
    """
    try:
        return _HASHER.verify(kept or nobody(), password) and kept is not None
    except (VerificationError, InvalidHashError):
        return False


def outdated(kept: str) -> bool:
    """Whether the library has raised its recommended cost since `kept` was made."""
    return _HASHER.check_needs_rehash(kept)


@cache  # never matched by anything, so one will do
def nobody() -> str:
    """The hash of a password that nobody has."""
    return _HASHER.hash(secrets.token_hex(32))
