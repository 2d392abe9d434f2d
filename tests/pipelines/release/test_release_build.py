import io
from random import Random

import pandas as pd
import pytest

from pipelines.release import ReleaseError, issue


def issued(group, season=2026, ledger=(), seed=1, **kwargs):
    farms, sessions, cells = group.tables(season, **kwargs)
    return issue(
        "vale",
        season,
        farms=farms,
        sessions=sessions,
        distribution=cells,
        ledger=ledger,
        minimum=5,
        choose=Random(seed),
    )


def test_figures_are_the_published_ones_rounded(make_group):
    group = make_group(1)
    farms, sessions, cells = group.tables(2026)
    found = issue(
        "vale",
        2026,
        farms=farms,
        sessions=sessions,
        distribution=cells,
        ledger=[],
        minimum=5,
        choose=Random(1),
    )
    figures = found.release.figures.set_index(["letter", "stage"])
    for row in sessions.itertuples():
        released = figures.loc[(found.letter_of[row.farm], row.stage)]
        assert released["thin_share"] == pytest.approx(row.thin_share, abs=0.0251)
        assert released["mean_score"] == pytest.approx(row.mean_score, abs=0.0501)
        assert round(released["thin_share"] * 100) % 5 == 0
        assert released["weeks_from"] <= (row.scored_on - farms.set_index("farm").rams_in[row.farm]).days / 7


def test_all_of_a_class_have_the_same_words_weeks_and_least_number(make_group):
    release = issued(make_group(2, ("lowland",) * 6 + ("hill",) * 4)).release
    classes = release.figures.merge(release.letters, on="letter").groupby(["stage", "system", "flock_size"])
    told_apart = classes[["weeks_from", "weeks_to", "ewes_at_least"]].nunique()
    assert (told_apart == 1).all().all()
    assert (classes["letter"].nunique() >= 3).all()
    assert (release.figures["ewes_at_least"] % 10 == 0).all()


def test_a_stage_that_one_of_a_class_lacks_is_not_shown_for_any(make_group):
    group = make_group(3, ("lowland",) * 5)
    farms, sessions, cells = group.tables(2026)
    sessions = sessions.drop(sessions[(sessions["farm"] == "Q001X") & (sessions["stage"] == "weaning")].index)
    found = issue("vale", 2026, farms=farms, sessions=sessions, distribution=cells, ledger=[], minimum=5)
    assert set(found.release.figures["stage"]) == {"pre-tupping"}
    assert set(found.release.distribution["stage"]) == {"pre-tupping"}


def test_whole_scores_of_one_farm_make_everyones_bins_one_score_wide(make_group):
    halves = issued(make_group(4)).release.distribution
    assert set(halves["score_to"] - halves["score_from"]) == {0.5}
    whole = issued(make_group(4), steps={"Q001X": 1.0}.items()).release.distribution
    assert set(whole["score_to"] - whole["score_from"]) == {1.0}


@pytest.mark.parametrize("number", [0, 1, 4])
def test_fewer_than_five_farms_are_refused(make_group, number):
    farms, sessions, cells = make_group(5).tables(2026)
    farms = farms.iloc[:number]
    with pytest.raises(
        ReleaseError, match=f"needs at least 5 farms, and the group has {number} in this season"
    ):
        issue("vale", 2026, farms=farms, sessions=sessions, distribution=cells, ledger=[], minimum=5)


def test_five_farms_of_rare_systems_are_refused_with_the_reason(make_group):
    with pytest.raises(
        ReleaseError, match="needs at least 5 farms that can be shown, and there are fewer at every stage"
    ):
        issued(make_group(6, ("lowland",) * 3 + ("hill",) * 2))


def test_an_earlier_stage_is_released_when_too_few_have_scored_the_latest(make_group):
    farms, sessions, cells = make_group(13).tables(2026)
    late = (sessions["stage"] == "pre-tupping") & ~sessions["farm"].isin(["Q001X", "Q002X", "Q003X"])
    found = issue(
        "vale", 2026, farms=farms, sessions=sessions[~late], distribution=cells, ledger=[], minimum=5
    )
    assert set(found.release.figures["stage"]) == {"weaning"}
    assert len(found.release.letters) == 8


def test_a_farm_left_out_is_named_to_the_practice_with_the_reason(make_group):
    found = issued(make_group(7, ("lowland",) * 6 + ("hill",)))
    assert list(found.left_out) == ["Q007X"]
    assert "fewer than 3 farms share its system" in found.left_out["Q007X"]


def test_a_farm_not_scored_is_left_out_and_told_why(make_group):
    farms, sessions, cells = make_group(8).tables(2026)
    sessions = sessions[sessions["farm"] != "Q002X"]
    found = issue("vale", 2026, farms=farms, sessions=sessions, distribution=cells, ledger=[], minimum=5)
    assert found.left_out == {"Q002X": "left out: not scored at pre-tupping this season"}


def test_a_farm_whose_size_is_not_registered_is_left_out_and_told_why(make_group):
    # the register may leave `ewes` blank; such a flock belongs to no band of sizes
    farms, sessions, cells = make_group(8).tables(2026)
    farms["ewes"] = farms["ewes"].where(farms["farm"] != "Q002X")
    found = issue("vale", 2026, farms=farms, sessions=sessions, distribution=cells, ledger=[], minimum=5)
    assert found.left_out == {"Q002X": "left out: the register does not give its number of ewes"}
    assert len(found.letter_of) == 7


def test_a_joining_farm_changes_no_figure(make_group):
    group = make_group(9)
    tables = dict(zip(("farms", "sessions", "distribution"), group.tables(2026), strict=True))
    first = issue("vale", 2026, **tables, ledger=[], minimum=5, choose=Random(1))
    newcomer = make_group(10, ("lowland",) * 9)
    for name, table in zip(tables, newcomer.tables(2026), strict=True):
        tables[name] = pd.concat([tables[name], table[table["farm"] == "Q009X"]])
    second = issue("vale", 2026, **tables, ledger=[first.entry], minimum=5, choose=Random(2))
    columns = list(first.release.figures.columns.drop("letter"))
    as_sets = [
        sorted(map(tuple, at.release.figures[columns].itertuples(index=False))) for at in (first, second)
    ]
    assert as_sets[0] == as_sets[1]
    assert "Q009X" in second.left_out


def test_letters_and_release_names_differ_from_release_to_release(make_group):
    first, second = issued(make_group(11), seed=1), issued(make_group(11), seed=2)
    assert first.letter_of != second.letter_of
    assert first.release.release != second.release.release


def test_no_byte_of_a_farm_occurs_in_a_release(make_group):
    group = make_group(12)
    release = issued(group).release
    written = [release.release.encode(), str(release.season).encode()]
    for table in (release.letters, release.figures, release.distribution):
        parquet = io.BytesIO()
        table.to_parquet(parquet, compression=None)
        written += [parquet.getvalue(), table.to_csv().encode(), table.to_json().encode()]
    forbidden = [str(farm[key]) for farm in group.farms for key in ("farm", "name", "contact")]
    forbidden += ["vale", "withybrook", "2026-0", "2026-1"]
    found = [word for word in forbidden for part in written if word.lower().encode() in part.lower()]
    assert found == []


def test_the_scan_would_find_what_it_looks_for(make_group):
    farms, _, _ = make_group(12).tables(2026)
    parquet = io.BytesIO()
    farms[["farm", "name"]].to_parquet(parquet, compression=None)
    assert b"q001x" in parquet.getvalue().lower()
