"""Clean client files, ways to damage them, and the judge: equal, named or refused; no other outcome.

The expectation is built here, from values, before the file is written and damaged; the parser has no part.
`python -m tests.pipelines.imports.torture_all` prints the table of families × outcomes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from pipelines.imports import Context, Parsed, parse

TODAY = date(2026, 11, 25)
Record = tuple[tuple[str, object], ...]


@dataclass(frozen=True)
class Line:
    """One physical line and the records that the farmer meant by it."""

    text: str
    means: tuple[Record, ...] = ()
    is_row: bool = False


@dataclass(frozen=True)
class Clean:
    """A good file: headings, rows of cells, and what each row means."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    means: tuple[tuple[Record, ...], ...]

    def lines(self, delimiter: str = ",") -> list[Line]:
        """The file as lines, headings first."""
        rows = zip(self.rows, self.means, strict=True)
        return [
            Line(delimiter.join(self.headings)),
            *(Line(delimiter.join(cells), means, True) for cells, means in rows),
        ]


@dataclass(frozen=True)
class Case:
    """One damaged file. `meant` maps a line number to what the farmer meant by it; `dropped` a heading that
    may be reported as not used to the column which then may be absent."""

    family: str
    name: str
    content: bytes
    meant: Mapping[int, tuple[Record, ...]]
    dropped: Mapping[str, str] = field(default_factory=dict)
    context: Context = field(default_factory=lambda: Context(today=TODAY))


Family = Callable[[Clean], Iterator[Case]]


def record(**values: object) -> Record:
    return tuple(sorted((name, value) for name, value in values.items() if value is not None))


def written(
    family: str,
    name: str,
    lines: Sequence[Line],
    encode: Callable[[str], bytes] = str.encode,
    end: str = "\n",
    **more: Mapping[str, str] | Context,
) -> Case:
    """A case from lines; rows among them are expected on the lines where they stand."""
    content = encode("".join(line.text + end for line in lines))
    return Case(family, name, content, meanings(lines), **more)  # type: ignore[arg-type]


def meanings(lines: Iterable[Line]) -> dict[int, tuple[Record, ...]]:
    return {number: line.means for number, line in enumerate(lines, start=1) if line.is_row}


def with_line(lines: Sequence[Line], at: int, text: str) -> list[Line]:
    """`lines` with another text on line `at`, which still means what it meant."""
    return [*lines[:at], replace(lines[at], text=text), *lines[at + 1 :]]


def with_cell(clean: Clean, row: int, column: int, text: str) -> list[Line]:
    cells = [*clean.rows[row]]
    cells[column] = text
    return with_line(clean.lines(), row + 1, ",".join(cells))


def cells_of(clean: Clean, line: int) -> list[str]:
    return [*(clean.headings if line == 0 else clean.rows[line - 1])]


DAY = date(2026, 8, 4)
SCORES = (2.5, 2.25, 3.0, 1.75, 3.5)


def cleans() -> Iterator[Clean]:
    """One small good file in each layout."""
    yield from (_individual(), _tally(), _wide(), _register())


def _individual() -> Clean:
    ewes = [f"8260123456{number:05d}" for number in (1, 20, 300, 41, 5)]
    notes = ["", "lame, near fore", "", "broken mouth", ""]
    lines = list(zip(ewes, SCORES, notes, strict=True))
    return Clean(
        "individual",
        ("farm", "scored_on", "group", "ewe", "score", "weight_kg", "note"),
        tuple(
            ("HB7", f"{DAY}", "Shearlings", ewe, f"{score:g}", "62.5", f'"{note}"' if "," in note else note)
            for ewe, score, note in lines
        ),
        tuple(
            (
                record(
                    farm="HB7", scored_on=DAY, group="Shearlings", ewe=ewe, score=score, count=1,
                    weight_kg=62.5, note=note or None,
                ),
            )
            for ewe, score, note in lines
        ),
    )  # fmt: skip


def _tally() -> Clean:
    counted = list(zip(SCORES, (3, 12, 41, 0, 6), strict=True))
    shared = {"farm": "HB7", "scored_on": DAY, "group": "Draft ewes", "scorer": "Wyn"}
    return Clean(
        "tally",
        ("farm", "scored_on", "group", "score", "count", "scorer"),
        tuple(("HB7", f"{DAY}", "Draft ewes", f"{score:g}", str(count), "Wyn") for score, count in counted),
        tuple((record(**shared, score=score, count=count),) if count else () for score, count in counted),
    )


def _wide() -> Clean:
    tallies = [("Top flock", (4, 20, 31, 7)), ("Bottom flock", (0, 9, 12, 2)), ("Hoggs", (1, 0, 5, 5))]
    shared = {"farm": "HB7", "scored_on": DAY, "stage": "weaning"}
    return Clean(
        "wide",
        ("farm", "scored_on", "group", "2", "2.5", "3", "3.5", "stage"),
        tuple(("HB7", f"{DAY}", name, *map(str, row), "weaning") for name, row in tallies),
        tuple(
            tuple(
                record(**shared, group=name, score=score, count=count)
                for score, count in zip((2.0, 2.5, 3.0, 3.5), row, strict=True)
                if count
            )
            for name, row in tallies
        ),
    )


def _register() -> Clean:
    farms = [
        ("HB7", "Hafod Bryn", "hill", 310),
        ("LT2", "Long Tye", "lowland", 145),
        ("UM9", "Upper Mere", "upland", 90),
    ]
    return Clean(
        "register",
        ("farm", "name", "system", "ewes", "weaned_on", "rams_in", "region"),
        tuple((*farm[:3], str(farm[3]), "2026-08-01", "2026-10-25", "Vale") for farm in farms),
        tuple(
            (
                record(
                    farm=code, name=name, system=system, ewes=ewes, weaned_on=date(2026, 8, 1),
                    rams_in=date(2026, 10, 25), season=2026, region="Vale",
                ),
            )
            for code, name, system, ewes in farms
        ),
    )  # fmt: skip


def judge(case: Case, parsed: Parsed | None = None) -> str:
    """`equal`, `named`, `refused`, or `SILENT` with the line that nobody would have noticed."""
    parsed = parsed or parse(case.content, case.context)
    errors = [problem for problem in parsed.problems if problem.severity == "error"]
    if parsed.kind is None:
        return "refused" if errors and all(problem.message for problem in errors) else "SILENT refusal"
    named = {problem.line for problem in parsed.problems}
    unused = {
        case.dropped.get(problem.column or "") for problem in parsed.problems if "heading" in problem.code
    }
    accepted: dict[int, list[Record]] = {}
    for row in parsed.table.to_pylist():
        accepted.setdefault(row.pop("line"), []).append(record(**row))
    lost = False
    for line in sorted({*accepted, *case.meant}):
        meant = [tuple(cell for cell in means if cell[0] not in unused) for means in case.meant.get(line, ())]
        if sorted(accepted.get(line, []), key=str) != sorted(meant, key=str):
            if line not in named:
                return f"SILENT line {line}"
            lost = True
    return "named" if lost or errors or unused - {None} else "equal"


def table(cases: Iterable[Case]) -> str:
    """Families × outcomes as text."""
    outcomes = ("equal", "named", "refused", "SILENT")
    counts: dict[str, Counter[str]] = {}
    for case in cases:
        counts.setdefault(case.family, Counter())[judge(case).split()[0]] += 1
    counts["total"] = sum(counts.values(), Counter())
    width = max(map(len, counts))
    head = f"{'family':<{width}}  " + "  ".join(f"{name:>8}" for name in ("cases", *outcomes))
    rows = [
        f"{family:<{width}}  "
        + "  ".join(f"{number:>8}" for number in (found.total(), *map(found.__getitem__, outcomes)))
        for family, found in counts.items()
    ]
    return "\n".join([head, *rows])
