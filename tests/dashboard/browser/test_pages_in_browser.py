"""Every page in a real browser, at a desk and in a yard, in the dark, on paper and by keyboard."""

import re
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import DESK, PHONE, Seen

pytestmark = pytest.mark.browser
Open = Callable[..., Page]
Barriers = Callable[[Page], list[str]]

PAGES = {
    "flocks": ("/", "All flocks, 2026", 1),
    "farm": ("/farm/WEXN13", "Wexenthwaite", 3),
    "what if": ("/farm/WEXN13?season=2026&rams=2026-11-12", "Wexenthwaite", 4),
    "how": ("/how", "How readiness is worked out", 0),
    "backtest": ("/backtest", "How well past projections came true", 2),
    "compare": ("/compare?system=lowland", "Compare farms", 2),
    "scorers": ("/scorers", "How well scorers agree", 3),
    "group": ("/group", "A comparison for a discussion group", 0),
    "files": ("/files", "Files", 0),
    "tour": ("/tour", "A tour in five questions", 0),
    "nowhere": ("/nowhere", "Nothing at this address", 0),
    "visit": ("/visit/WEXN13", "Plan the visit", 1),
}
DOORS = {"sign in": "/sign-in", "account": "/account", "comparisons": "/release"}
NOT_ON_PAPER = ".top nav, .foot, button, select, input, textarea"
Passed = Callable[..., None]
SIZES = pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])


@SIZES
@pytest.mark.parametrize("name", PAGES)
def test_a_page_draws_everything_quietly_and_without_barriers(
    name: str, size: tuple[int, int], opened: Open, site: str, seen: Seen, barriers: Barriers,
    passed: Passed,
) -> None:  # fmt: skip
    path, heading, pictures = PAGES[name]
    page = opened(path, size)
    expect(page.locator("main h1")).to_have_text(heading)
    expect(page.locator("figure .js-plotly-plot")).to_have_count(pictures)
    unfold(page)
    for picture in page.locator("figure .js-plotly-plot").all():
        expect(picture.locator(".main-svg").first).to_be_visible()
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate("document.documentElement.scrollWidth") == size[0], "nothing sticks out"
    assert seen.hosts == {site.split("/")[2]}
    assert barriers(page) == []
    passed(f"page {name}", size, "drawn, own host only, nothing sticks out, axe")
    goes_dark_and_onto_paper(page, barriers)
    assert seen.complaints == []
    passed(f"page {name}", size, "dark, axe in the dark, paper without what it cannot do, no console error")


@SIZES
@pytest.mark.parametrize("name", DOORS)
def test_a_page_at_the_door_is_quiet_and_without_barriers(
    name: str, size: tuple[int, int], opened: Open, signed_in: Open, guarded_site: str, seen: Seen,
    barriers: Barriers, passed: Passed,
) -> None:  # fmt: skip
    page = opened(DOORS[name], size, at=guarded_site) if name == "sign in" else signed_in("isla", size)
    page.goto(guarded_site + DOORS[name])
    assert page.evaluate("document.documentElement.scrollWidth") == size[0], "nothing sticks out"
    assert barriers(page) == []
    goes_dark_and_onto_paper(page, barriers)
    assert seen.complaints == []
    passed(f"page {name}", size, "nothing sticks out, axe, dark, paper, no console error")


def unfold(page: Page) -> None:
    """What is folded must not stick out or bar anybody either."""
    page.evaluate("for (const fold of document.querySelectorAll('main details')) fold.open = true")


def goes_dark_and_onto_paper(page: Page, barriers: Barriers) -> None:
    """The page as it stands, seen in the dark and then printed."""
    page.emulate_media(color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(19, 23, 21)"
    for axis in page.locator(".js-plotly-plot .xtick text").all()[:1]:
        expect(axis).to_have_css("fill", "rgb(236, 238, 234)")
    assert barriers(page) == []
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(29, 36, 32)"
    assert [
        part.evaluate("e => e.outerHTML") for part in page.locator(NOT_ON_PAPER).all() if part.is_visible()
    ] == []
    expect(page.locator("main h1")).to_be_visible()


def test_a_filter_goes_into_the_link_and_the_link_reopens_the_view(opened: Open) -> None:
    page = opened("/")
    page.select_option("select[name=system]", "hill")
    page.wait_for_url("**/?season=2026&system=hill")
    expect(page.locator(".call .about").first).to_contain_text("Hill")
    shown = page.locator(".call h3").all_inner_texts()
    again = opened("/?season=2026&system=hill")
    expect(again.locator(".call h3")).to_have_text(shown)
    assert 0 < len(shown) < 26
    assert again.locator("select[name=system]").input_value() == "hill"


@SIZES
def test_no_name_in_the_funnel_is_written_across_another(size: tuple[int, int], opened: Open) -> None:
    page = opened("/", size)
    unfold(page)
    names = page.locator("#thin-funnel .annotation-text")
    expect(names.first).to_be_visible()
    boxes = [box for name in names.all() if name.is_visible() and (box := name.bounding_box())]
    # four flocks stand above the outer line; a phone has no room for the fourth
    assert len(boxes) > 3 if size == DESK else len(boxes) <= 3
    assert all(box["x"] >= 0 and box["x"] + box["width"] <= size[0] for box in boxes)
    for one, other in combinations(boxes, 2):
        beside = one["x"] + one["width"] <= other["x"] or other["x"] + other["width"] <= one["x"]
        above = one["y"] + one["height"] <= other["y"] or other["y"] + other["height"] <= one["y"]
        assert beside or above


def test_going_back_undoes_a_filter(opened: Open) -> None:
    page = opened("/")
    page.select_option("select[name=system]", "upland")
    expect(page.locator(".call .about").first).to_contain_text("Upland")
    page.go_back()
    expect(page.locator(".call")).to_have_count(26)
    assert page.locator("select[name=system]").input_value() == ""


def test_a_farm_is_found_by_part_of_its_name(opened: Open) -> None:
    page = opened("/")
    page.fill("input[name=find]", "wexen")
    page.keyboard.press("Enter")
    expect(page.locator(".call h3")).to_have_text(["Wexenthwaite"])


def test_a_past_season_of_a_farm_has_its_own_link(opened: Open) -> None:
    page = opened("/farm/WEXN13")
    page.get_by_role("navigation", name="Seasons").get_by_role("link", name="2025").click()
    page.wait_for_url("**/farm/WEXN13?season=2025")
    expect(page.locator("[aria-label=Seasons] [aria-current=page]")).to_have_text("2025")


def test_a_picture_is_kept_with_its_title(opened: Open, tmp_path: Path) -> None:
    page = opened("/")
    expect(page.locator("#thin-funnel .main-svg").first).to_be_visible()
    with page.expect_download() as kept:
        page.get_by_role("button", name="Save as picture").click()
    kept.value.save_as(tmp_path / "funnel.png")
    assert kept.value.suggested_filename == "thin-funnel.png"
    assert (tmp_path / "funnel.png").read_bytes().startswith(b"\x89PNG")


def test_moving_on_marks_the_way_in_use_and_takes_the_focus_along(opened: Open) -> None:
    page = opened("/")
    current = page.locator(".top nav [aria-current]")
    expect(current).to_have_text("All flocks")
    page.get_by_role("link", name="Compare").click()
    expect(page.locator("main h1")).to_have_text("Compare farms")
    expect(current).to_have_text("Compare")
    expect(page.locator("main h1")).to_be_focused()


def test_what_still_moves_on_the_page_left_does_not_keep_the_focus_there(opened: Open) -> None:
    page = opened("/")
    expect(page.locator("main h1")).to_contain_text("All flocks")
    page.route("**/_dash-update-component", lambda route: (page.wait_for_timeout(500), route.continue_()))
    page.get_by_role("link", name="Compare").click()
    page.wait_for_url("**/compare*")
    page.evaluate("document.querySelector('main').append(document.createElement('i'))")
    expect(page.locator("main h1")).to_have_text("Compare farms")
    expect(page.locator("main h1")).to_be_focused()
    page.unroute_all()


@pytest.mark.parametrize("path", ["/farm/NOSUCH", "/farm/%3Cscript%3Ealert(1)%3C%2Fscript%3E"])
def test_a_farm_that_is_not_there_says_how_to_go_on(path: str, opened: Open, seen: Seen) -> None:
    page = opened(path)
    expect(page.locator("main .empty a")).to_have_attribute("href", "/")
    assert seen.complaints == []


def test_a_farms_ewes_show_every_digit(opened: Open) -> None:
    page = opened("/farm/WEXN13", PHONE)
    expect(page.locator(".ewes .tag").first).to_have_text(re.compile(r"^\d{15}$"))


def test_a_farm_on_a_phone_is_short_and_its_folds_open_by_keyboard(opened: Open, seen: Seen) -> None:
    page = opened("/farm/WEXN13", PHONE)
    expect(page.locator("#readiness .main-svg").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollHeight") < 7_000  # 15,710 with a card for each ewe
    folded = page.locator("#scores .main-svg").first
    expect(folded).not_to_be_visible()
    page.locator("summary", has_text="How the scores are spread").focus()
    page.keyboard.press("Enter")
    expect(folded).to_be_visible()
    assert page.locator("#scores .main-svg").first.bounding_box()["width"] > 250  # type: ignore[index]
    assert seen.complaints == []


@pytest.mark.parametrize(("path", "handle", "inside"), [
    ("/", " to watch: ", ".call h3 >> text=Krannowside"),
    ("/", "Choose flocks", "select[name=system]"),
    ("/", "The picture", "#thin-funnel .main-svg >> nth=0"),
    ("/files", "47 files with nothing to check", "text=BLAS18-2024-07-18.csv"),
])  # fmt: skip
def test_a_list_on_a_phone_is_short_and_its_folds_open_by_keyboard(
    path: str, handle: str, inside: str, opened: Open
) -> None:
    page = opened(path, PHONE)
    summary = page.locator("summary", has_text=handle)
    expect(summary).to_be_visible()
    assert page.evaluate("document.documentElement.scrollHeight") <= 4_500  # 9,369 and 10,294 with all open
    expect(page.locator(inside)).not_to_be_visible()
    summary.focus()
    page.keyboard.press("Enter")
    expect(page.locator(inside)).to_be_visible()


def test_what_a_phone_folds_stands_open_at_a_desk_without_a_handle(opened: Open) -> None:
    page = opened("/", DESK)
    expect(page.locator(".call h3", has_text="Yarlescleugh")).to_be_visible()
    assert page.locator(".call").count() == 26
    assert [each for each in page.locator(".phone-only > summary").all() if each.is_visible()] == []


def test_filters_that_were_chosen_are_seen_on_a_phone(opened: Open) -> None:
    page = opened("/?status=watch", PHONE)
    expect(page.locator("select[name=status]")).to_be_visible()
    expect(page.locator(".call h3", has_text="Krannowside")).to_be_visible()


def test_a_farm_at_a_desk_stands_unfolded_but_for_the_tags(opened: Open) -> None:
    page = opened("/farm/WEXN13", DESK)
    expect(page.locator("#scores .main-svg").first).to_be_visible()
    expect(page.locator(".ewes .tag").first).not_to_be_visible()
    page.emulate_media(media="print")
    expect(page.locator(".ewes .tag").first).to_be_visible()


def test_what_is_chosen_for_a_visit_goes_into_the_link_and_onto_the_work_sheet(
    opened: Open, seen: Seen
) -> None:
    page = opened("/farm/WEXN13", PHONE)
    page.get_by_role("link", name="Plan the visit").click()
    expect(page.locator("main h1")).to_have_text("Plan the visit")
    page.select_option("select[name=within]", "5")
    page.wait_for_url("**within=5**")
    expect(page.locator(".answer").first).to_contain_text("within ± 5 points")
    page.fill("input[name=weight]", "62")
    page.keyboard.press("Tab")
    expect(page.get_by_text("For ewes of 62 kg")).to_be_visible()
    again = opened("/visit/WEXN13" + page.evaluate("location.search"), PHONE)
    expect(again.locator(".answer").first).to_contain_text("within ± 5 points")
    href = again.get_by_role("link", name="Print this as a work sheet").get_attribute("href") or ""
    assert "within=5" in href and "weight=62" in href
    assert seen.complaints == []
