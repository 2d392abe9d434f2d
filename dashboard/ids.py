"""Names of the elements that scripts, styles and tests refer to."""

from typing import Final

MAIN: Final = "main"
AS_OF: Final = "as-of"
FLOCK_LIST: Final = "flock-list"
FUNNEL: Final = "thin-funnel"
READINESS: Final = "readiness"
SCORES: Final = "scores"
EWES: Final = "ewes"
TAKE_ALONG: Final = "take-to-the-farm"
SHARES: Final = "shares"
SEASONS: Final = "past-seasons"
FILE_LIST: Final = "file-list"
PRECISION: Final = "precision"
PROBLEMS: Final = "problems"
