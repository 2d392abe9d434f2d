"""A problem found in a client file, as data: where, what, how bad, and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

Severity = Literal["error", "warning"]
VALUE_LENGTH = 80


@dataclass(frozen=True, slots=True)
class Registered:
    """What a refused line of a register says all the same: whose it is, and of which season if it tells."""

    farm: str
    season: int | None
    name: str | None


@dataclass(frozen=True, slots=True)
class Problem:
    """One problem at one place; the caller adds the file's name.

    `line` is 1-based, `None` for the whole file. An `error` refuses the row (or the file), a `warning` does
    not. `of` is given for a refused line of a register that names its farm.
    """

    line: int | None
    column: str | None
    code: str
    severity: Severity
    value: str
    message: str
    of: Registered | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A problem whose place is not known yet: what a cell reader returns instead of a value."""

    code: str
    severity: Severity
    value: str
    message: str

    def at(self, line: int | None, column: str | None = None) -> Problem:
        """The same problem, with its place."""
        return Problem(line, column, self.code, self.severity, self.value, self.message)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: stable code, and the sentence that says what is wrong and what to do.

    `template` may use `{value}` (the offending text, cut) and further names given to the call, and `code`
    may use `{column}`.
    """

    code: str
    template: str
    severity: Severity = "error"

    def __call__(self, value: str = "", **parts: object) -> Fault:
        """This kind of problem with the offending `value`."""
        shown = value.strip()
        if len(shown) > VALUE_LENGTH:
            shown = shown[: VALUE_LENGTH - 1] + "…"
        code = self.code.format(**parts)
        return Fault(code, self.severity, shown, self.template.format(value=shown, **parts))


class RefusedError(Exception):
    """The file is refused whole, for the `problems` it carries (at least one of them an error)."""

    def __init__(self, *problems: Problem, recognised: Mapping[str, str] | None = None) -> None:
        super().__init__(problems[-1].message)
        self.problems = problems
        self.recognised: Mapping[str, str] = recognised or {}

    def __reduce__(self) -> tuple[Any, ...]:
        # A piece of a large file may be read by another process, which has to hand the refusal back.
        return partial(RefusedError, recognised=self.recognised), self.problems
