"""What an account is, and which names and passwords it may have."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, get_args

Role = Literal["practice", "adviser", "member"]
ROLES: tuple[Role, ...] = get_args(Role)
ROLE_WORDS: dict[Role, str] = {
    "practice": "the whole practice",
    "adviser": "an adviser’s own farms",
    "member": "discussion-group comparisons",
}

SHORTEST_PASSWORD = 12
LONGEST_PASSWORD = 256  # hashing costs by length: longer texts are an attack, not a password
_NAME = re.compile(r"[\w.@-]{1,64}")


class AccountError(ValueError):
    """An account that cannot be made or changed; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Account:
    """Somebody who may sign in.

    `farms`: farm codes an adviser may see; `groups`: discussion groups whose releases a member may see.
    `stamp` changes with the password, the role, the farms and the groups: a session begun under another
    stamp has ended.
    """

    name: str
    role: Role
    farms: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    stamp: str = ""

    def __post_init__(self) -> None:
        if not _NAME.fullmatch(self.name):
            raise AccountError("a name has 1 to 64 letters, digits, full stops, hyphens or @, and no spaces")
        if bool(self.farms) != (self.role == "adviser"):
            raise AccountError("an adviser needs --farms with the farms’ codes, and nobody else has any")
        if bool(self.groups) != (self.role == "member"):
            raise AccountError("a member needs --groups with discussion groups, and nobody else has any")


def require_fit_password(password: str, name: str) -> None:
    """Raise `AccountError` for a password that is too easy to guess or too long to hash."""
    if len(password) < SHORTEST_PASSWORD:
        raise AccountError(f"the password is too short: use {SHORTEST_PASSWORD} characters or more")
    if len(password) > LONGEST_PASSWORD:
        raise AccountError(f"the password is too long: use {LONGEST_PASSWORD} characters or fewer")
    if len(set(password)) < 4 or name.casefold() in password.casefold():
        raise AccountError("the password is too easy to guess: use several words, without the account’s name")
