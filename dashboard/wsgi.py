"""The application for a WSGI server: `gunicorn dashboard.wsgi:application`.

Where the data lives is read from the environment: `TUPPING_HOME`, and `TUPPING_AS_OF` to fix the day.
"""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from dashboard.app import create_app
from pipelines import settings

_home = Path(os.environ["TUPPING_HOME"]) if "TUPPING_HOME" in os.environ else settings.default_home()
_as_of = date.fromisoformat(os.environ["TUPPING_AS_OF"]) if "TUPPING_AS_OF" in os.environ else None

application = create_app(settings.load(_home, _as_of)).server
