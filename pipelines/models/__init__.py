"""SQL that turns accepted rows into published tables, one file per table, and the step that runs it.

`staging/` names and joins, `marts/` answers one question a table, `checks/` returns offending rows. Numbers
come from `pipelines.statistics` and `pipelines.readiness`, whole columns at a time.
"""

from pipelines.models.build import build
from pipelines.models.tables import KEYS, SCOPES, TABLES, Rebuilt

__all__ = ["KEYS", "SCOPES", "TABLES", "Rebuilt", "build"]
