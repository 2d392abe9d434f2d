from pathlib import Path

from dash import html

from dashboard.meeting.prospect import GroupPage, Prospect
from dashboard.views import group
from pipelines.release.practice import GivenOut


def test_the_chosen_group_tells_who_can_be_shown_and_offers_to_make_it(text_of) -> None:
    chosen = Prospect("Marl Vale", 2026, 6, {"Quillow Meads": "left out: not scored"})
    said = text_of(group.page(GroupPage(["Marl Vale", "Midwater"], chosen)))
    assert "6 flocks can be shown side by side, 1 cannot:" in said
    assert "Quillow Meads left out: not scored." in said
    assert "Make it and save the files" in said
    assert "--role member --groups 'Marl Vale'" in said


def test_what_was_made_can_be_withdrawn_and_shown_again(text_of, parts_of) -> None:
    chosen = Prospect("Marl Vale", 2026, 6, {})
    made = [
        GivenOut(name, "Marl Vale", 2026, Path("x"), gone)
        for name, gone in (("b" * 16, False), ("a" * 16, True))
    ]
    page = group.page(GroupPage(["Marl Vale"], chosen, made))
    assert "2026, bbbbbbbb : members see it." in text_of(page)
    assert "2026, aaaaaaaa : withdrawn from members." in text_of(
        page
    ) and "Show it to members again" in text_of(page)
    buttons = [vars(part) for part in parts_of(page) if isinstance(part, html.Button)]
    sent = [(each.get("data-send"), each.get("data-with-shown")) for each in buttons]
    assert (f"/release/{'b' * 16}/withdraw", "no") in sent and (
        f"/release/{'a' * 16}/withdraw",
        "yes",
    ) in sent


def test_one_that_was_not_kept_is_told_of_and_offers_nothing(text_of, parts_of) -> None:
    made = [GivenOut("c" * 16, "Marl Vale", 2026, Path("x"), False, kept=False)]
    page = group.page(GroupPage(["Marl Vale"], Prospect("Marl Vale", 2026, 6, {}), made))
    assert "2026, cccccccc: made by an earlier version of the program" in text_of(page)
    assert "ithdraw it from members" not in text_of(page)


def test_a_group_that_cannot_be_released_says_why_and_offers_nothing(text_of) -> None:
    said = text_of(group.page(GroupPage(["Marl Vale"], Prospect("Marl Vale", 2026, 0, {}, "too few farms"))))
    assert "Too few farms" in said and "Make it" not in said


def test_whoever_may_not_release_is_told_whom_to_ask(text_of) -> None:
    said = text_of(group.page(None))
    assert "Ask the practice" in said and "Make it" not in said


def test_without_groups_the_register_is_named(text_of) -> None:
    assert "discussion_group" in text_of(group.page(GroupPage([], None)))
