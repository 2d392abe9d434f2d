from dashboard.views import group


def test_the_command_is_written_for_every_group(text_of) -> None:
    said = text_of(group.page(["Marl Vale", "Midwater"], may_release=True))
    assert "tupping release 'Marl Vale' -o FOLDER" in said and "tupping release Midwater -o FOLDER" in said


def test_whoever_may_not_release_is_told_whom_to_ask(text_of) -> None:
    said = text_of(group.page(["Marl Vale"], may_release=False))
    assert "tupping release" not in said and "Ask the practice" in said


def test_without_groups_the_register_is_named(text_of) -> None:
    assert "discussion_group" in text_of(group.page([], may_release=True))
