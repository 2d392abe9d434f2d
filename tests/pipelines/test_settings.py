from datetime import date
from pathlib import Path

import pytest

from pipelines.settings import Band, DaysPerScore, SettingsError, load


def written(home: Path, text: str) -> Path:
    (home / "settings.toml").write_text(text, encoding="utf-8")
    return home


def test_without_a_file_everything_is_the_default(tmp_path: Path) -> None:
    settings = load(tmp_path)
    assert (settings.thin_limit, settings.flush_days, settings.minimum_release_farms) == (0.10, 14, 5)
    assert settings.bands == {}


def test_as_of_decides_what_today_means(tmp_path: Path) -> None:
    assert load(tmp_path, date(2026, 9, 7)).today() == date(2026, 9, 7)


def test_every_kind_of_choice_is_read(tmp_path: Path) -> None:
    settings = load(
        written(
            tmp_path,
            """
            thin_limit = 0.15
            flush_days = 17
            minimum_release_farms = 7
            scorer_sd = 0.25
            days_per_score_lost = 100
            hold_when_right = true
            [gain.best]
            median = 50
            low = 45
            high = 60
            [bands.hill.tupping]
            low = 2.25
            target = 2.5
            high = 3.25
            [farms.GR07.bands.weaning]
            low = 2
            target = 2.5
            high = 3.5
            [farms.GR07.grazing]
            "thin ewes" = "best"
            [headings]
            Cond = "score"
            """,
        )
    )
    assert (settings.thin_limit, settings.flush_days, settings.minimum_release_farms) == (0.15, 17, 7)
    assert (settings.scorer_sd, settings.days_per_score_lost) == (0.25, 100)
    assert settings.hold_when_right
    assert settings.gain == {"best": DaysPerScore(50, 45, 60)}
    assert settings.bands == {("hill", "tupping"): Band(2.25, 2.5, 3.25)}
    assert settings.farm_bands == {("GR07", "weaning"): Band(2, 2.5, 3.5)}
    assert settings.farm_grazing == {("GR07", "thin ewes"): "best"}
    assert settings.headings == {"Cond": "score"}


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("thin_limt = 0.1", "unknown key 'thin_limt'"),
        ("thin_limit = 10", "thin_limit: a share between 0 and 1"),
        ("thin_limit = true", "thin_limit: a number is needed"),
        ("flush_days = 14.5", "flush_days: whole days"),
        ("minimum_release_farms = 3", "minimum_release_farms: 5 or more"),
        ("scorer_sd = 0", "scorer_sd: a scorer's error above 0"),
        ("days_per_score_lost = 7", "adviser's setting"),
        ("hold_when_right = 1", "hold_when_right: true or false"),
        ("[gain.best]\nmedian = 50", "gain.best: give median, low and high"),
        ("[gain.best]\nmedian = 50\nlow = 60\nhigh = 70", "0 < low < median < high"),
        ("[gain.meadow]\nmedian = 50\nlow = 40\nhigh = 70", "gain.meadow"),
        ("[bands.hill.tupping]\nlow = 3\ntarget = 2\nhigh = 4", "1 ≤ low ≤ target ≤ high ≤ 5"),
        ("[bands.moor.tupping]\nlow = 2\ntarget = 2\nhigh = 4", "bands.moor"),
        ("[farms.A]\ncolour = 'red'", "farms.A: 'colour' is not one of"),
        ("[farms.A.grazing]\nhoggs = 'lush'", "farms.A.grazing.hoggs: 'lush' is not one of"),
        ("thin_limit = ", "Invalid value"),
        ("headings = 3", "headings: write it as a table"),
    ],
)
def test_a_wrong_setting_names_file_key_and_remedy(tmp_path: Path, text: str, named: str) -> None:
    with pytest.raises(SettingsError) as refused:
        load(written(tmp_path, text))
    assert "settings.toml" in str(refused.value)
    assert named in str(refused.value)


def test_a_settings_file_that_cannot_be_read_names_line_and_remedy(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b"thin_limit = 0.15\n# caf\xe9\n")
    with pytest.raises(SettingsError, match="line 2 is not UTF-8: save the file as UTF-8"):
        load(tmp_path)
    path.unlink()
    path.mkdir()
    with pytest.raises(SettingsError, match="cannot be read"):
        load(tmp_path)
