import pytest

from pipelines import reference
from pipelines.settings import STAGES, SYSTEMS, Band, DaysPerScore

HOW_KNOWN = {"published", "quoted", "from memory", "common practice", "derived"}


@pytest.mark.parametrize("table", reference.tables())
def test_every_figure_has_a_source_a_unit_a_number_and_how_it_is_known(table):
    for figure in reference.figures(table):
        assert figure.source and figure.unit, figure
        assert figure.how_known in HOW_KNOWN, figure
        assert figure.year is None or 1980 <= figure.year <= 2026, figure
        assert any(number is not None for number in (figure.value, figure.low, figure.high)), figure


@pytest.mark.parametrize("table", reference.tables())
def test_no_figure_of_a_table_is_named_twice(table):
    names = [(tuple(figure.keys.values()), figure.source) for figure in reference.figures(table)]
    assert len(set(names)) == len(names)


def test_bands_are_the_table_printed_in_the_contract():
    printed = """
    weaning      1.75 2.0 3.0  1.75 2.0 3.0  2.25 2.5 3.5
    pre-tupping  2.5  2.5 3.0  2.75 3.0 3.5  3.0  3.5 4.0
    tupping      2.5  2.5 3.0  2.75 3.0 3.5  3.0  3.5 4.0
    scanning     2.0  2.5 3.0  2.5  3.0 3.5  3.0  3.5 4.0
    lambing      1.75 2.0 3.0  2.25 2.5 3.5  2.75 3.0 4.0
    """
    expected = {}
    for line in printed.strip().splitlines():
        stage, *numbers = line.split()
        for place, system in enumerate(("hill", "upland", "lowland")):
            expected[system, stage] = Band(*map(float, numbers[3 * place : 3 * place + 3]))
    assert dict(reference.bands()) == expected
    assert set(expected) == {(system, stage) for system in SYSTEMS for stage in STAGES}


def test_days_per_score_are_the_start_of_the_range_in_the_contract():
    assert dict(reference.days_per_score()) == {
        "best": DaysPerScore(52, 40, 70),
        "ordinary": DaysPerScore(75, 50, 120),
    }


def test_an_unknown_table_or_figure_is_named():
    with pytest.raises(KeyError, match="no table 'wool'"):
        reference.figures("wool")
    with pytest.raises(KeyError, match="0 figures match"):
        reference.figure("bands", system="fen")


def test_what_the_loader_hands_out_cannot_be_changed():
    with pytest.raises(TypeError):
        reference.bands()["hill", "weaning"] = Band(1, 2, 3)
