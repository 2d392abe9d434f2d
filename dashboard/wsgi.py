"""The application for a WSGI server of your own: `gunicorn dashboard.wsgi:application`.

Where the data lives is read from the environment: `TUPPING_HOME`, and `TUPPING_AS_OF` to fix the day. Whoever
can reach such a server is not known here, so that everybody signs in; `TUPPING_PROXY=1` says that one proxy
with TLS stands before it.
"""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from dashboard.accounts.account import AccountError
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from dashboard.upkeep import begin
from pipelines import settings

_home = Path(os.environ["TUPPING_HOME"]) if "TUPPING_HOME" in os.environ else settings.default_home()
_as_of = date.fromisoformat(os.environ["TUPPING_AS_OF"]) if "TUPPING_AS_OF" in os.environ else None
_doors = Doors(_home, others=True, proxy=os.environ.get("TUPPING_PROXY") == "1")
if _trouble := _doors.trouble():
    raise AccountError(_trouble)

application = create_app(settings.load(_home, _as_of), _doors).server
_upkeep = begin(_home, _as_of)  # ends with this process
