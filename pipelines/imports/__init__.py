"""Client bytes to typed rows and problems; pure, no database."""

from pipelines.imports.context import Context
from pipelines.imports.identity import canonical_ewe
from pipelines.imports.parsed import REGISTER, SCORES, Parsed
from pipelines.imports.problems import Fault, Problem
from pipelines.imports.read import parse, parse_chunks

__all__ = [
    "REGISTER",
    "SCORES",
    "Context",
    "Fault",
    "Parsed",
    "Problem",
    "canonical_ewe",
    "parse",
    "parse_chunks",
]
