"""The limit on wrong passwords: counted per account and per address, kept on disk, asked before hashing.

A count starts with its first guess and is forgotten a quarter of an hour later. Somebody who types the
wrong password again and again is told how long to wait; so is whoever owns the account meanwhile, which is
the price of counting guesses from many addresses together.
"""

from __future__ import annotations

import ipaddress
import time
from dataclasses import dataclass
from pathlib import Path

from dashboard.accounts import database
from dashboard.accounts.store import key_of

PER_ACCOUNT = 10
PER_ADDRESS = 40
WINDOW_SECONDS = 15 * 60
_KEPT = "select number, since from guesses where subject = ? and since >= ?"
_COUNT = """
    insert into guesses values (?, ?, 1)
    on conflict (subject) do update set
        number = case when since < ? then 1 else number + 1 end,
        since = case when since < ? then excluded.since else since end
    returning number, since
"""


@dataclass(frozen=True, slots=True)
class Counted:
    """What follows from one more guess: `wait` seconds when it is not listened to, `last` when it is the
    last one that is."""

    wait: int = 0
    last: bool = False


def count(home: Path, name: str, address: str) -> Counted:
    """Count one guess of the password of `name` from `address`."""
    now = time.time()
    old = now - WINDOW_SECONDS
    limits = {f"address {network_of(address)}": PER_ADDRESS, f"account {key_of(name)}": PER_ACCOUNT}
    numbers = {}
    with database.connected(home) as connection:
        for subject, limit in limits.items():
            # Asked first without writing, so that refusing ten thousand guesses costs next to nothing.
            kept = connection.execute(_KEPT, [subject, old]).fetchone()
            if kept and kept[0] >= limit:
                return Counted(wait=_wait(kept[1], now))
        for subject, limit in limits.items():
            number, since = connection.execute(_COUNT, [subject, now, old, old]).fetchone()
            if number > limit:  # another process counted in between
                return Counted(wait=_wait(since, now))
            numbers[subject] = number
        connection.execute("delete from guesses where since < ?", [old])
    return Counted(last=any(numbers[subject] == limit for subject, limit in limits.items()))


def forgive(home: Path, name: str, address: str) -> None:
    """Forget what was counted against an account whose owner has come in, and one guess of the address."""
    with database.connected(home) as connection:
        connection.execute("delete from guesses where subject = ?", [f"account {key_of(name)}"])
        connection.execute(
            "update guesses set number = number - 1 where subject = ?", [f"address {network_of(address)}"]
        )


def network_of(address: str) -> str:
    """The address as it is counted: of IPv6 the /64, since one machine has all addresses of it."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    if isinstance(parsed, ipaddress.IPv6Address):
        return str(parsed.ipv4_mapped or ipaddress.ip_network((parsed, 64), strict=False))
    return str(parsed)


def _wait(since: float, now: float) -> int:
    return max(1, round(since + WINDOW_SECONDS - now))
