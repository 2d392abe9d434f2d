from pipelines.readiness.explained import sections


def words() -> str:
    return " ".join(paragraph for section in sections() for paragraph in section.paragraphs)


def test_every_step_of_the_working_has_words_and_the_figures_have_sources():
    found = sections()
    assert all(section.heading and section.paragraphs for section in found)
    sources = [source.text for section in found for source in section.sources]
    assert any("Kelley" in text for text in sources) and any("Phythian" in text for text in sources)


def test_figures_in_the_words_are_those_of_the_contract():
    assert "52, nine times in ten between 40 and 70" in words()
    assert "75, nine times in ten between 50 and 120" in words()
    assert "adviser's own setting" in words()


def test_the_words_admit_what_broken_worlds_did_to_the_intervals():
    assert (
        "0.15 higher each session, 90 % of the 90 % intervals held what was then recorded and 67 %" in words()
    )
