"""However her tag is written, one ewe has one identity; a tag that lost digits is never completed."""

from __future__ import annotations

import pyarrow as pa
import pytest

from pipelines.imports import canonical_ewe
from pipelines.imports.identity import all_electronic, all_electronic_in


@pytest.mark.parametrize(
    "text",
    ["826012345600001", "0826012345600001", "UK 0 123456 00001", "UK0123456 00001", "uk012345600001",
     "826 012345600001", "826-0123456-00001", "'826012345600001", " 826012345600001 ", "UK-0-123456-00001",
     "826\xa0012345600001"],
)  # fmt: skip
def test_the_forms_of_one_uk_tag_are_one_ewe(text):
    # ../shared/reference.md: UK 0 123456 00001 = 826012345600001
    assert canonical_ewe(text) == "826012345600001"


@pytest.mark.parametrize(
    ("text", "identity"),
    [("IE 123456 789012", "372123456789012"), ("NZ 123456789012", "554123456789012"),
     ("982000123456789", "982000123456789")],
)  # fmt: skip
def test_other_countries_and_manufacturers_keep_their_fifteen_digits(text, identity):
    assert canonical_ewe(text) == identity


@pytest.mark.parametrize(
    ("text", "identity"),
    [("a 12", "A 12"), (" b7 ", "B7"), ("red   45", "RED 45"), ("007", "007"), ("7", "7"),
     ("12/345", "12/345"),
     ("#12", "#12")],
)  # fmt: skip
def test_a_short_tag_is_text(text, identity):
    assert canonical_ewe(text) == identity


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("8.26E+14", "ewe_scientific"), ("8,26E+14", "ewe_scientific"), ("8E14", "ewe_scientific"),
        ("8.26012E14", "ewe_scientific"), ("826012000000000", "ewe_digits_lost"),
        ("82601234560000", "ewe_digits_lost"), ("8260123456000010", "ewe_digits_lost"),
        ("12345600001", "ewe_digits_lost"), ("012345600001", "ewe_digits_lost"),
        ("Jan-45", "ewe_turned_date"),
        ("45-Jan", "ewe_turned_date"), ("01/02/2026", "ewe_turned_date"),
        ("999000000000001", "ewe_test_code"),
        ("UK 123456 00001", "ewe_not_understood"), ("UK 0 123456 1", "ewe_not_understood"),
        ("826012345600001.0", "ewe_not_understood"), ("Daisy", "ewe_not_understood"),
        ("-", "ewe_not_understood"),
        ("", "ewe_missing"), ("=A1", "formula"), ("#REF!", "spreadsheet_error"), ("Total", "totals_row"),
    ],
)  # fmt: skip
def test_a_tag_that_cannot_be_sure_is_named(text, code):
    assert canonical_ewe(text).code == code


def test_a_ewe_without_a_tag_is_counted_but_named(session, codes):
    parsed = session("A,2026-08-14,G,,2.5")
    assert parsed.table["ewe"].to_pylist() == [None]
    assert codes(parsed) == [(2, "ewe_missing")]
    assert parsed.problems[0].severity == "warning"


@pytest.mark.parametrize(
    "odd",
    [
        "0826012345600001", "001234567800001", "826012345600000", "999000000000001", "12", "82601234560000１",
        "82601234560000O", "82601234560000/", "82601234560000:", " 82601234560001", "",
    ],
)  # fmt: skip
def test_the_short_cut_for_electronic_tags_admits_nothing_else(odd):
    for cells in (["826012345600001", odd], ["826012345600001"] * 4 + [odd], [odd]):
        assert not all_electronic(cells)
        assert not all_electronic_in(pa.array(cells))
        assert not all_electronic_in(pa.array(["99", *cells]).slice(1))


def test_the_short_cut_for_electronic_tags_admits_them_all():
    cells = ["826012345600001", "982000123456789", "010000000000010", "998000000100000"[:14] + "1"]
    assert [canonical_ewe(cell) for cell in cells] == cells
    assert all_electronic(cells)
    assert all_electronic_in(pa.array(cells))
    assert all_electronic_in(pa.array(["99", *cells]).slice(1))
