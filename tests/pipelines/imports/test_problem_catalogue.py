"""Problems as data: codes are stable and unique, messages complete and read by people."""

from __future__ import annotations

import string

import pytest

from pipelines.imports import catalogue
from pipelines.imports.problems import VALUE_LENGTH, Kind

KINDS = [kind for kind in vars(catalogue).values() if isinstance(kind, Kind)]


class _Anything(dict):
    def __missing__(self, key):
        return 1


def test_codes_are_unique_but_for_blank_cells():
    # A blank cell is an error in one column and a warning in another, under the same code.
    codes = [kind.code for kind in KINDS if kind.code != "{column}_missing"]
    assert len(codes) == len(set(codes))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.code)
def test_a_message_says_what_is_wrong_and_what_to_do(kind):
    message = kind.template
    assert message.rstrip(")}").endswith((".", "why"))
    assert message[0] in "'" + string.ascii_uppercase
    assert set(kind.code) <= set(string.ascii_lowercase + "_0123456789{}")


def test_a_long_value_is_cut():
    assert len(catalogue.FORMULA("=" + "x" * 500).value) == VALUE_LENGTH


def test_braces_in_a_clients_cell_are_only_text():
    assert "{0}{value}" in catalogue.FORMULA("={0}{value}").message
