"""Client bytes to typed rows and problems; pure, no database."""

from pipelines.imports.chunks import parse_chunks
from pipelines.imports.context import Context
from pipelines.imports.identity import canonical_ewe
from pipelines.imports.parsed import REGISTER, SCORES, Parsed
from pipelines.imports.problems import Fault, Problem
from pipelines.imports.read import parse
from pipelines.imports.running import Run, ahead
from pipelines.imports.together import parse_many

__all__ = [
    "REGISTER",
    "SCORES",
    "Context",
    "Fault",
    "Parsed",
    "Problem",
    "Run",
    "ahead",
    "canonical_ewe",
    "parse",
    "parse_chunks",
    "parse_many",
]
