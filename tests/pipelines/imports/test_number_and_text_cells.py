"""Counts, measures, names, notes and the words with a fixed meaning."""

from __future__ import annotations

import pytest

from pipelines.imports.number_cells import decimal, whole
from pipelines.imports.text_cells import grazing, group, is_total, note, stage, system, text


@pytest.mark.parametrize(("cell", "number"), [("12", 12), (" 0 ", 0), ("007", 7), ("", None)])
def test_a_whole_number_is_digits_only(cell, number):
    assert whole(cell, "count", 0, 100) == number


@pytest.mark.parametrize(
    ("cell", "code"),
    [("-1", "count_negative"), ("1.5", "count_not_whole"), ("1,000", "count_not_whole"),
     ("101", "count_out_of_range"),
     ("1 0", "count_not_whole"), ("three", "count_not_understood"), ("²", "count_not_understood")],
)  # fmt: skip
def test_what_is_not_a_count_is_named(cell, code):
    assert whole(cell, "count", 0, 100).code == code


@pytest.mark.parametrize(("cell", "number"), [("62.5", 62.5), ("62,5", 62.5), ("62", 62.0), (" ", None)])
def test_a_measure_takes_a_point_or_a_comma(cell, number):
    assert decimal(cell, "weight_kg", 15, 200) == number


@pytest.mark.parametrize(
    ("cell", "code"),
    [("-62", "weight_kg_negative"), ("620", "weight_kg_out_of_range"), ("62 kg", "weight_kg_not_understood"),
     ("1e2", "weight_kg_not_understood"), ("nan", "weight_kg_not_understood")],
)  # fmt: skip
def test_what_is_not_a_weight_is_named(cell, code):
    assert decimal(cell, "weight_kg", 15, 200).code == code


def test_blanks_in_a_name_are_collapsed():
    assert text("  Top \xa0 flock ") == "Top flock"


@pytest.mark.parametrize(
    ("cell", "code"),
    [("=cmd()", "formula"), ("@SUM(A1)", "formula"), ("+cmd|' /C calc'!A0", "formula"),
     ("-1+cmd(1)", "formula"),
     ("#N/A", "spreadsheet_error"), ("#####", "spreadsheet_error"), ("a\x07", "control_character"),
     ("a\u200bb", "control_character"), ("caf\ufffd", "lost_character"), ("x" * 101, "text_too_long"),
     ('say "no', "stray_quote")],
)  # fmt: skip
def test_a_damaged_or_dangerous_cell_is_named(cell, code):
    assert text(cell).code == code


@pytest.mark.parametrize("cell", ["- lame, near fore", "+ 2 lambs", 'said "fine"', "½ udder", "Ty’n-y-coed"])
def test_ordinary_notes_pass(cell):
    assert note(cell) == cell


def test_the_recalibration_note_has_one_spelling():
    assert note(" Recalibration  PAIR ") == "recalibration pair"


@pytest.mark.parametrize(
    ("cell", "found"),
    [("Weaning", "weaning"), ("PRE TUPPING", "pre-tupping"), ("pre-tupping", "pre-tupping"),
     ("tup", "tupping"),
     ("scan", "scanning"), ("lambing", "lambing"), ("", None)],
)  # fmt: skip
def test_a_stage_is_known_by_its_usual_names(cell, found):
    assert stage(cell) == found


def test_unknown_words_are_named():
    assert stage("turnout").code == "stage_unknown"
    assert system("fen").code == "system_unknown"
    assert system("").code == "system_missing"
    assert grazing("poor").code == "grazing_unknown"
    assert grazing(" Best ") == "best"


def test_the_whole_session_is_no_group():
    assert group("all").code == "group_reserved"


@pytest.mark.parametrize(
    ("cell", "total"),
    [("Total", True), ("TOTALS:", True), ("sub-total", True), ("Grand total", True), ("mean score", True),
     ("Average", True), ("Sum", True), ("Summer ewes", False), ("Totally wet", False), ("Mean Hill", False)],
)  # fmt: skip
def test_the_label_of_a_totals_row(cell, total):
    assert is_total(cell) is total
