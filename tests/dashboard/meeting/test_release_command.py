import json

import pytest
from click.testing import CliRunner

import demo_farms
from dashboard.cli import main
from dashboard.meeting import handing
from pipelines.release import ReleaseError, read_ledger
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.released import read_release

from .conftest import GROUP


def run(practice, *words):
    day = demo_farms.AS_OF.isoformat()
    return CliRunner().invoke(main, ["release", *words, "--home", str(practice.home), "--as-of", day])


def ledger(practice):
    return read_ledger(practice.home / "releases" / "ledger.json")


def test_the_command_writes_a_release_and_names_what_is_private(practice, tmp_path):
    answer = run(practice, GROUP, "-o", str(tmp_path / "out"))
    assert answer.exit_code == 0
    assert "For you alone, never for the group: 7 cards" in answer.output
    assert [entry.group for entry in ledger(practice)] == [GROUP]


def test_a_farm_left_out_is_named_with_the_reason(practice, tmp_path):
    answer = run(practice, "Midwater", "-o", str(tmp_path / "out"), "--json")
    assert set(json.loads(answer.output)["left_out"]) == {"CRUG09", "ULVR15"}


def test_a_release_that_is_not_safe_is_refused_with_the_reason(practice, tmp_path):
    (practice.home / "settings.toml").write_text("minimum_release_farms = 8\n")
    answer = run(practice, GROUP, "-o", str(tmp_path / "out"))
    assert answer.exit_code == 1
    assert (
        "refused: group Marl Vale: a comparison needs at least 8 farms, and the group has 7" in answer.output
    )
    assert not (tmp_path / "out").exists() and ledger(practice) == []


@pytest.mark.parametrize("words", [("Nowhere", "-o", "x"), (GROUP,)])
def test_wrong_use_is_told_apart_from_a_refusal(words, practice):
    assert run(practice, *words).exit_code == 2


def test_the_ledger_is_written_before_a_file_appears(release, practice, tmp_path, monkeypatch):
    def power_cut(made, folder):
        assert [entry.group for entry in ledger(practice)] == [GROUP]
        raise KeyboardInterrupt

    monkeypatch.setattr(handing, "_reveal", power_cut)
    with pytest.raises(KeyboardInterrupt):
        release()
    assert list((tmp_path / "out").iterdir()) == []
    assert len(ledger(practice)) == 1


def test_a_file_that_cannot_be_made_leaves_no_trace(release, practice, tmp_path, monkeypatch):
    monkeypatch.setattr(handing.paper, "render", lambda content: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        release()
    assert list((tmp_path / "out").iterdir()) == [] and ledger(practice) == []


def test_one_farm_more_changes_no_figure_of_the_next_release(release, practice, moved_register):
    first = read_release(release(folder="first").files[0])
    import_paths([moved_register("CLAV08", GROUP)], practice)
    done = release(folder="second")
    second = read_release(done.files[0])
    assert "CLAV08" in done.left_out
    columns = [name for name in first.figures.columns if name != "letter"]
    as_sets = [sorted(map(tuple, at.figures[columns].to_numpy().tolist())) for at in (first, second)]
    assert as_sets[0] == as_sets[1]


def test_one_of_seven_gone_is_refused_because_the_difference_would_show_it(
    release, practice, moved_register, tmp_path
):
    release(folder="first")
    import_paths([moved_register("QUIL01", "Midwater")], practice)
    with pytest.raises(ReleaseError, match="would show from the difference to an earlier release"):
        release(folder="second")
    assert not (tmp_path / "second").exists()


def test_a_backup_keeps_the_ledger(release, practice, tmp_path):
    from pipelines.settings import Settings
    from pipelines.warehouse.backups import backup, restore

    release()
    backup(practice.home, tmp_path / "practice.tar")
    restore(tmp_path / "practice.tar", Settings(tmp_path / "new", as_of=demo_farms.AS_OF))
    assert read_ledger(tmp_path / "new" / "releases" / "ledger.json") == ledger(practice)
