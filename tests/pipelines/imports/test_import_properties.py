"""The invariant of the torture tests, and of the readers, for inputs that hypothesis invents.

`pytest -m slow tests/pipelines/imports/test_import_properties.py` runs 100,000 damaged files.
"""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipelines.imports import Context, Fault, canonical_ewe, parse, parse_chunks
from pipelines.imports.records import split_line
from tests.pipelines.imports.torture import TODAY, Case, Line, judge, meanings, record

NAME = st.text("abcdefgh ABC'é½-", min_size=1, max_size=8).filter(lambda name: name.strip(" '-").isalpha())
NOTATIONS = {
    0: ("{w}", "{w}.0"),
    1: ("{w}.25", "{w}+", "{w}¼"),
    2: ("{w}.5", "{w}½", "{w} 1/2"),
    3: ("{w}.75", "{n}-"),
}
HEADINGS = ("farm", "scored_on", "group", "ewe", "score")
KINDS = ("delimiter", "join", "quote", "blank", "total", "heading", "swap", "comma", "break", "formula")
DAMAGE = st.lists(st.tuples(st.sampled_from(KINDS), st.integers(0, 200), st.integers(0, 200)), max_size=3)


@st.composite
def files(draw):
    """A file of one session as lines, with what each row means, in any separator, order and notation."""
    farm, group = draw(NAME).strip(), draw(NAME).strip() + " 1"
    day = draw(st.dates(date(2020, 1, 1), TODAY))
    delimiter = draw(st.sampled_from([",", ";", "\t"]))
    order = draw(st.permutations(range(5)))
    wording = draw(st.sampled_from(["{:%Y-%m-%d}", "{:%d/%m/%Y}", "{:%d.%m.%Y}"]))
    meant = {"farm": " ".join(farm.split()), "group": " ".join(group.split()), "scored_on": day, "count": 1}
    lines = [Line(delimiter.join(HEADINGS[at] for at in order))]
    for number in range(draw(st.integers(1, 6))):
        quarters = draw(st.integers(4, 19))
        whole, part = divmod(quarters, 4)
        score = draw(st.sampled_from(NOTATIONS[part])).format(w=whole, n=whole + 1)
        ewe = f"8260{draw(st.integers(0, 999999)):06d}{number + 1:05d}"
        cells = [farm, wording.format(day), group, ewe, score]
        means = record(**meant, ewe=ewe, score=quarters / 4)
        lines.append(Line(delimiter.join(cells[at] for at in order), (means,), True))
    return delimiter, lines


def damaged(delimiter, lines, damage):
    """The lines after at most one blow each (two can cancel out); a row that is hit means what it meant."""
    blows = {where % len(lines): (kind, place) for kind, where, place in damage}
    return [
        piece
        for at, line in enumerate(lines)
        for piece in (struck(delimiter, lines, blows[at][0], at, blows[at][1]) if at in blows else [line])
    ]


def struck(delimiter, lines, kind, at, place):
    """What stands in the place of line `at` after one blow."""
    line = lines[at]
    cells = line.text.split(delimiter)
    cell, cut = place % len(cells), place % (len(line.text) + 1)
    texts = {
        "delimiter": delimiter.join([*cells[:cell], "", *cells[cell:]]),
        "join": line.text.replace(delimiter, "", 1),
        "quote": line.text[:cut] + '"' + line.text[cut:],
        "swap": delimiter.join([*cells[1:], cells[0]]),
        "comma": line.text.replace(".", ","),
        "formula": delimiter.join([*cells[:cell], "=cmd()", *cells[cell + 1 :]]),
    }
    if kind in texts:
        return [replace(line, text=texts[kind])]
    if kind == "break":
        # Broken before its first letter, the row has only moved a line down.
        return [replace(line, text=line.text[:cut]), Line(line.text[cut:])] if cut else [Line(""), line]
    return [line, Line({"blank": "", "total": delimiter.join(["Total"] * 5), "heading": lines[0].text}[kind])]


def check(file, damage, encoding):
    delimiter, lines = file
    lines = damaged(delimiter, lines, damage)
    text = "".join(line.text + "\n" for line in lines)
    case = Case("hypothesis", "", text.encode(encoding), meanings(lines))
    assert not judge(case).startswith("SILENT"), text


ENCODINGS = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"])


@settings(max_examples=300, deadline=None)
@given(files(), DAMAGE, ENCODINGS)
def test_damage_is_never_silent(file, damage, encoding):
    check(file, damage, encoding)


@pytest.mark.slow
@settings(max_examples=100_000, deadline=None, suppress_health_check=list(HealthCheck), database=None)
@given(files(), DAMAGE, ENCODINGS)
def test_damage_is_never_silent_in_100_000_files(file, damage, encoding):
    check(file, damage, encoding)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_give_an_answer(content):
    parsed = parse(content, Context(today=TODAY))
    assert parsed.kind is not None or parsed.problems


@settings(max_examples=200, deadline=None)
@given(files(), DAMAGE, st.integers(8, 90))
def test_pieces_of_a_file_say_what_the_whole_says(file, damage, size):
    lines = damaged(*file, damage)
    content = "".join(line.text + "\n" for line in lines).encode()
    whole = parse(content, Context(today=TODAY))
    size = max(size, len(lines[0].text) * 3)
    pieces = list(parse_chunks(io.BytesIO(content), Context(today=TODAY), size=size))
    if pieces[-1].kind is None or whole.kind is None:
        assert pieces[-1].kind == whole.kind or pieces[-1].problems
        return
    rows = [row for piece in pieces for row in piece.table.to_pylist()]
    assert rows == whole.table.to_pylist()
    assert sum(piece.rows_refused for piece in pieces) == whole.rows_refused


@settings(max_examples=300, deadline=None)
@given(st.lists(st.text("ab\",;\t '", max_size=6), min_size=1, max_size=6), st.sampled_from([",", ";", "\t"]))
def test_a_line_written_by_csv_is_split_as_csv_reads_it(cells, delimiter):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="").writerow(cells)
    assert split_line(out.getvalue(), delimiter) == (cells if cells != [""] else [""])


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=24))
def test_an_identity_is_its_own_identity(cell):
    found = canonical_ewe(cell)
    if isinstance(found, str):
        assert canonical_ewe(found) == found


@settings(max_examples=200, deadline=None)
@given(st.dates(date(1990, 1, 1), TODAY + timedelta(days=400)))
def test_every_day_first_date_is_that_day_or_in_the_future(day):
    content = f"farm,scored_on,group,ewe,score\nA,{day:%d/%m/%Y},G,1,2.5\n".encode()
    parsed = parse(content, Context(today=TODAY))
    if day > TODAY:
        assert {problem.code for problem in parsed.problems} <= {"date_in_future", "date_implausible"}
        assert parsed.rows_refused == 1
    else:
        assert parsed.table["scored_on"].to_pylist() == [day]


def test_a_fault_is_not_mistaken_for_an_identity():
    assert isinstance(canonical_ewe("8.26E+14"), Fault)
