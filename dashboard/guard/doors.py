"""To whom the dashboard is open: this machine's own user, or only those who sign in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from dashboard.accounts import store


@dataclass(frozen=True, slots=True)
class Doors:
    """How the server can be reached.

    `others`: from other machines, so that everybody signs in whatever happens to the accounts meanwhile.
    `proxy`: through one proxy that speaks TLS and says for whom it asks.
    """

    home: Path
    others: bool = False
    proxy: bool = False

    def must_sign_in(self) -> bool:
        """Whether visitors have to say who they are: always when others can come, else once there is any
        account."""
        return self.others or self.proxy or store.any_account(self.home)

    def trouble(self) -> str | None:
        """Why this must not be opened, and the remedy; None when it may."""
        if not (self.others or self.proxy) or store.any_practice_account(self.home):
            return None
        return (
            "other machines could reach the dashboard, and there is no account to sign in with: first run "
            f"tupping account add NAME --role practice --home {self.home}"
        )
