"""Every page in a real browser, at a desk and in a yard."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import DESK, PHONE, Seen

expect.set_options(timeout=20_000)  # the machine may be busy with other tests
pytestmark = pytest.mark.browser
Open = Callable[..., Page]

PAGES = {
    "flocks": ("/", "All flocks, 2026", 1),
    "farm": ("/farm/WEXN13", "Wexenthwaite", 2),
    "compare": ("/compare?system=lowland", "Compare farms", 2),
    "files": ("/files", "Files", 0),
}


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("name", PAGES)
def test_a_page_draws_everything_quietly_from_its_own_host(
    name: str, size: tuple[int, int], opened: Open, site: str, seen: Seen, tmp_path: Path
) -> None:
    path, heading, pictures = PAGES[name]
    page = opened(path, size)
    expect(page.locator("main h1")).to_have_text(heading)
    expect(
        page.locator(".js-plotly-plot .main-svg").first if pictures else page.locator("main")
    ).to_be_visible()
    expect(page.locator("figure .js-plotly-plot")).to_have_count(pictures)
    page.screenshot(path=tmp_path / f"{name}-{size[0]}.png", full_page=True)
    assert seen.complaints == []
    assert seen.hosts == {site.split("/")[2]}


@pytest.mark.parametrize("name", PAGES)
def test_nothing_sticks_out_of_a_phone(name: str, opened: Open) -> None:
    page = opened(PAGES[name][0], PHONE)
    page.wait_for_timeout(500)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]


def test_a_filter_goes_into_the_link_and_the_link_reopens_the_view(opened: Open) -> None:
    page = opened("/")
    page.select_option("select[name=system]", "hill")
    page.wait_for_url("**/?season=2026&system=hill")
    expect(page.locator(".call .about").first).to_contain_text("Hill")
    shown = page.locator(".call h3").all_inner_texts()
    again = opened("/?season=2026&system=hill")
    assert again.locator(".call h3").all_inner_texts() == shown
    assert 0 < len(shown) < 26
    assert again.locator("select[name=system]").input_value() == "hill"


def test_a_count_in_the_head_line_filters_the_list(opened: Open) -> None:
    page = opened("/")
    page.get_by_role("link", name="not scored yet").click()
    expect(page.locator(".call")).to_have_count(1)
    expect(page.locator(".call h3")).to_have_text("Ulverend")
    assert page.locator("select[name=status]").input_value() == "not scored"


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


def test_the_call_list_leads_to_the_farm_and_its_ewes(opened: Open, seen: Seen) -> None:
    page = opened("/", PHONE)
    page.get_by_role("link", name="Wexenthwaite").click()
    expect(page.locator("main h1")).to_have_text("Wexenthwaite")
    expect(page.locator(".ewes .ag-row").first).to_be_attached()
    expect(page.locator(".ag-row .ag-cell[col-id=ewe]").first).to_have_text(re.compile(r"^\d{15}$"))
    assert seen.complaints == []


def test_a_past_season_of_a_farm_has_its_own_link(opened: Open) -> None:
    page = opened("/farm/WEXN13")
    page.get_by_role("navigation", name="Seasons").get_by_role("link", name="2025").click()
    page.wait_for_url("**/farm/WEXN13?season=2025")
    expect(page.locator("[aria-label=Seasons] [aria-current=page]")).to_have_text("2025")


def test_the_grid_is_loaded_only_where_there_is_one(opened: Open) -> None:
    scripts = "[...document.scripts].filter(script => script.src.includes('dash_ag_grid')).length"
    assert opened("/").evaluate(scripts) == 0
    assert opened("/farm/WEXN13").evaluate(scripts) > 0


def test_a_picture_is_kept_with_its_title(opened: Open, tmp_path: Path) -> None:
    page = opened("/")
    expect(page.locator("#thin-funnel .main-svg").first).to_be_visible()
    with page.expect_download() as kept:
        page.get_by_role("button", name="Save as picture").click()
    kept.value.save_as(tmp_path / "funnel.png")
    assert kept.value.suggested_filename == "thin-funnel.png"
    assert (tmp_path / "funnel.png").read_bytes().startswith(b"\x89PNG")


def test_the_keyboard_alone_reaches_the_page_and_a_farm(opened: Open) -> None:
    page = opened("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Wexenthwaite").focus()
    page.keyboard.press("Enter")
    expect(page.locator("main h1")).to_have_text("Wexenthwaite")


def test_the_dark_wears_a_dark_page(opened: Open) -> None:
    page = opened("/", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(19, 23, 21)"
    axis = page.locator(".js-plotly-plot .xtick text").first
    expect(axis).to_have_css("fill", "rgb(236, 238, 234)")


def test_print_leaves_out_what_paper_cannot_do(opened: Open) -> None:
    page = opened("/")
    page.emulate_media(media="print")
    expect(page.locator(".filters")).to_be_hidden()
    expect(page.locator(".call").first).to_be_visible()


@pytest.mark.parametrize("path", ["/nowhere", "/farm/NOSUCH", "/farm/%3Cscript%3Ealert(1)%3C%2Fscript%3E"])
def test_an_address_that_leads_nowhere_says_how_to_go_on(path: str, opened: Open, seen: Seen) -> None:
    page = opened(path)
    expect(page.locator("main .empty a")).to_have_attribute("href", "/")
    assert seen.complaints == []
