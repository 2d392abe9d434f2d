"""Deciding whether a name and a password let somebody in."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path

from dashboard.accounts import audit, guesses, passwords, store
from dashboard.accounts.account import LONGEST_PASSWORD, Account

# One check takes 64 MiB for a moment; more at once than this would let strangers fill the memory.
HASHES_AT_ONCE = 2
_PATIENCE_SECONDS = 5.0


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why somebody was not let in; `wait`: seconds before another attempt is listened to, 0 for none."""

    sentence: str
    wait: int = 0


class Desk:
    """Where people sign in to the practice whose data lives in `home`."""

    def __init__(self, home: Path) -> None:
        self._home = home
        self._hashing = threading.BoundedSemaphore(HASHES_AT_ONCE)
        passwords.nobody()  # made now, so that the first unknown name does not take twice as long

    def admit(self, name: str, password: str, address: str) -> Account | Refusal:
        """The account, or why not; each is noted in the audit record.

        Guesses beyond the limit are not noted one by one, or a stranger could fill the disk: the line of the
        last one that was listened to says so.
        """
        counted = guesses.count(self._home, name, address)
        if counted.wait:
            sentence = f"Too many attempts. Wait {_minutes(counted.wait)}, then try again."
            return Refusal(sentence, counted.wait)
        if not self._hashing.acquire(timeout=_PATIENCE_SECONDS):
            return Refusal("Many people are signing in just now. Try again in a moment.", 5)
        try:
            account = self._checked(name, password)
        finally:
            self._hashing.release()
        if account is None:
            further = {"further": "not listened to for 15 minutes"} if counted.last else {}
            audit.note(self._home, "sign-in refused", name, address, **further)
            return Refusal("That name and password do not fit together. Check both and try again.")
        guesses.forgive(self._home, account.name, address)
        audit.note(self._home, "signed in", account.name, address, role=account.role)
        return account

    def _checked(self, name: str, password: str) -> Account | None:
        found = store.find(self._home, name)
        kept = found[1] if found else None
        if not passwords.fits(kept, password if len(password) <= LONGEST_PASSWORD else ""):
            return None
        if found is None or kept is None:
            return None
        account = found[0]
        if passwords.outdated(kept):
            store.keep_password(self._home, account.name, password, account.stamp)
        return account


def _minutes(seconds: int) -> str:
    minutes = -(-seconds // 60)
    return "a minute" if minutes == 1 else f"{minutes} minutes"
