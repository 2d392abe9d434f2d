import pytest

from pipelines.release import Entry, read_ledger, write_ledger
from pipelines.release.ledger import histories


def test_a_ledger_is_read_as_it_was_written(tmp_path):
    entries = [Entry("a1", "vale", 2025, {"F1": 0, "F2": 1}), Entry("b2", "vale", 2026, {"F2": 0})]
    write_ledger(tmp_path / "releases" / "ledger.json", entries)
    assert read_ledger(tmp_path / "releases" / "ledger.json") == entries


def test_no_file_is_an_empty_ledger_and_a_broken_one_is_named(tmp_path):
    assert read_ledger(tmp_path / "ledger.json") == []
    (tmp_path / "ledger.json").write_text('[{"release": "a1"', encoding="utf-8")
    with pytest.raises(ValueError, match=r"ledger\.json: cannot be read, restore"):
        read_ledger(tmp_path / "ledger.json")


def test_a_history_tells_class_or_absence_for_every_release():
    entries = [Entry("a1", "vale", 2025, {"F1": 0, "F2": 1}), Entry("b2", "vale", 2026, {"F2": 0, "F3": 0})]
    assert histories(entries) == {"F1": (0, None), "F2": (1, 0), "F3": (None, 0)}
