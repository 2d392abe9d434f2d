"""Of a name that a browser gives, only what is harmless is kept."""

import pytest

from dashboard.intake.names import LONGEST_BYTES, base_name


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("scores.csv", "scores.csv"), ("/etc/passwd", "passwd"),
        ("../../secret.key", "secret.key"), ("C:\\Users\\b.csv", "b.csv"),
        ("a\x00b\n.csv", "a b.csv"), ("..", "file.csv"), ("", "file.csv"),
        (".hidden", "hidden"), ("con.csv", "file.csv"), ("a:b*?.csv", "a-b--.csv"),
        ("\u202egpj.csv", "gpj.csv"),
        ("Hafod\u00a0Wen \u2013 3 Awst.csv", "Hafod Wen \u2013 3 Awst.csv"), ("folder/", "file.csv"),
    ],
)  # fmt: skip
def test_a_name_is_its_last_part_without_what_could_do_harm(written: str, kept: str) -> None:
    assert base_name(written) == kept


@pytest.mark.parametrize("written", ["x" * 500 + ".csv", "ŵ" * 500 + ".csv", "x" * 500, "a." + "b" * 500])
def test_a_long_name_is_cut_and_keeps_its_ending(written: str) -> None:
    kept = base_name(written)
    assert 0 < len(kept.encode()) <= LONGEST_BYTES
    assert kept.endswith(".csv") == written.endswith(".csv")
