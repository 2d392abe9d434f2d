"""The three users' journeys from start to finish, at a desk and on a phone, and by keyboard alone."""

import csv
import re
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from .conftest import DESK, PHONE, Seen, served

pytestmark = pytest.mark.browser
Open = Callable[..., Page]
Passed = Callable[..., None]
Barriers = Callable[[Page], list[str]]
SIZES = pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])


def saved(page: Page, name: str, folder: Path) -> Path:
    """What the link or button of this name saves."""
    with page.expect_download() as kept:
        page.get_by_role("link", name=name).first.click()
    path = folder / kept.value.suggested_filename
    kept.value.save_as(path)
    return path


@SIZES
def test_practice_review(
    size: tuple[int, int], opened: Open, seen: Seen, passed: Passed, barriers: Barriers, tmp_path: Path
) -> None:
    def note(check: str) -> None:
        passed("practice review", size, check)

    page = opened("/", size)
    expect(page.locator(".call")).to_have_count(26)
    note("opens on every flock, most urgent first")
    page.get_by_role("link", name="need action now").click()
    page.wait_for_url(re.compile(r"status=act\+now"))
    page.select_option("select[name=system]", "upland")
    page.wait_for_url(re.compile(r"system=upland"))
    expect(page.locator(".call .status").first).to_have_text("Act now")
    expect(page.locator(".call .about").first).to_contain_text("Upland")
    note("filters by status and system; the link says so")
    name = page.locator(".call h3 a").first.inner_text()
    page.locator(".call h3 a").first.click()
    expect(page.locator("main h1")).to_have_text(name)
    expect(page.locator("main h1")).to_be_focused()
    note("opens the most urgent farm without a reload, focus on its name")
    expect(page.locator("#ewes")).to_contain_text(re.compile("out of condition|counted without tags"))
    assert barriers(page) == []
    note("reads the ewes; axe finds no barrier")
    rows = list(csv.DictReader(saved(page, "Save as table", tmp_path).open(encoding="utf-8-sig")))
    assert rows
    note("saves a table")
    page.go_back()
    expect(page.locator("select[name=system]")).to_have_value("upland")
    note("goes back to the same filtered list")
    assert seen.complaints == []
    note("no console error")


@SIZES
def test_visit_preparation(
    size: tuple[int, int], opened: Open, seen: Seen, passed: Passed, barriers: Barriers, tmp_path: Path
) -> None:
    def note(check: str) -> None:
        passed("visit preparation", size, check)

    page = opened("/farm/WEXN13", size)
    expect(page.locator("#readiness .main-svg").first).to_be_visible()
    note("the farm's readiness in words and as a picture")
    stands = page.locator("#what-if .big").inner_text()
    page.select_option("select[name=rams]", index=6)
    page.wait_for_url(re.compile("rams=2026"))
    expect(page.locator("#what-if .big")).not_to_have_text(stands)
    page.select_option("select[name^='on.']", "best")
    page.wait_for_url(re.compile("on.*=best"))
    expect(page.locator("#what-if")).to_contain_text("as it stands.")
    expect(page.locator("#what-if-picture .main-svg").first).to_be_visible()
    assert barriers(page) == []
    note("tries a later rams-in and best grazing; axe finds no barrier")
    brief = PdfReader(saved(page, "Visit brief", tmp_path))
    assert "Wexenthwaite" in brief.pages[0].extract_text()
    draw = saved(page, "Draw list", tmp_path)
    assert b"UK 0 " in draw.read_bytes()
    note("takes the brief (PDF) and the draw list (CSV, whole tags) along")
    page.get_by_role("link", name="Plan the visit").click()
    page.wait_for_url(re.compile("/visit/WEXN13"))
    expect(page.locator("main")).to_contain_text("Wexenthwaite")
    assert barriers(page) == []
    note("plans the visit; axe finds no barrier")
    sheet = PdfReader(saved(page, "Print this as a work sheet", tmp_path))
    assert "Wexenthwaite" in sheet.pages[0].extract_text()
    note("takes the work sheet (PDF) along")
    assert seen.complaints == []
    note("no console error")


@SIZES
def test_discussion_meeting(
    size: tuple[int, int], signed_in: Open, opened: Open, seen: Seen, passed: Passed, barriers: Barriers,
    tmp_path: Path,
) -> None:  # fmt: skip
    def note(check: str) -> None:
        passed("discussion meeting", size, check)

    page = signed_in("morag", size)
    page.goto(page.url + "compare")
    page.select_option("select[name=system]", "lowland")
    page.wait_for_url(re.compile("system=lowland"))
    expect(page.locator("#shares .main-svg").first).to_be_visible()
    assert barriers(page) == []
    note("compares one system by share on target and by spread; axe finds no barrier")
    with page.expect_download() as kept:
        page.locator("#shares").get_by_role("button", name="Save as picture").click()
    assert kept.value.suggested_filename == "shares.png"
    note("keeps a picture for the meeting")
    release = made_from_the_page(page, barriers, tmp_path)
    note("makes the group's release, with a card for each farm; axe finds no barrier")
    with served("--release", str(release), folder=tmp_path, home=tmp_path) as alone:
        shown = opened("/", size, at=alone)
        lays_side_by_side(shown, size, barriers)
        note("shows the release alone, on a machine without the practice; axe, light and dark")
        printed = " ".join(page.extract_text() for page in PdfReader(BytesIO(shown.pdf())).pages)
        assert "Three things to talk about" in printed and "What these letters hide" in printed
        note("prints it")
    assert seen.complaints == []
    note("no console error")


def made_from_the_page(page: Page, barriers: Barriers, folder: Path) -> Path:
    """The release of Marl Vale, made on the page of its group and unpacked into `folder`."""
    page.get_by_role("link", name="Give a discussion group its own comparison").click()
    page.select_option("select[name=group]", "Marl Vale")
    expect(page.locator("main")).to_contain_text("7 flocks can be shown side by side")
    assert barriers(page) == []
    with page.expect_download() as kept:
        page.get_by_role("button", name="Make it and save the files").click()
    expect(page.locator("main").get_by_role("status")).to_contain_text("7 private cards")
    kept.value.save_as(folder / "made.zip")
    with zipfile.ZipFile(folder / "made.zip") as packed:
        packed.extractall(folder)
    (release,) = folder.glob("*.duckdb")
    return release


def lays_side_by_side(page: Page, size: tuple[int, int], barriers: Barriers) -> None:
    """Seven letters and three points to talk about, in any light."""
    expect(page.locator("h1")).to_have_text("Our ewes side by side, 2026")
    expect(page.locator(".points li")).to_have_count(3)
    expect(page.locator(".sides th")).to_have_count(7)
    assert page.evaluate("document.documentElement.scrollWidth") == size[0]
    assert barriers(page) == []
    page.emulate_media(color_scheme="dark")
    assert barriers(page) == []


@SIZES
def test_a_member_after_the_meeting(
    size: tuple[int, int], signed_in: Open, guarded_site: str, seen: Seen, passed: Passed, barriers: Barriers
) -> None:
    def note(check: str) -> None:
        passed("member after the meeting", size, check)

    maker = signed_in("morag", size)
    maker.goto(guarded_site + "/group?group=Marl+Vale")
    with maker.expect_download():
        maker.get_by_role("button", name="Make it and save the files").click()
    page = signed_in("isla", size)
    expect(page.locator("h1")).to_have_text("Comparisons")
    assert barriers(page) == []
    note("signs in and is led to the group's comparisons; axe finds no barrier")
    with page.expect_download() as kept:
        page.get_by_role("link", name="Print it (PDF)").first.click()
    assert kept.value.suggested_filename.startswith("comparison-2026-")
    page.get_by_role("link", name="Open it").first.click()
    lays_side_by_side(page, size, barriers)
    note("opens it and takes the paper along")
    page.goto(guarded_site + "/farm/QUIL01")
    expect(page.locator("h1")).to_have_text("Comparisons")
    note("is led back from a farm's page")
    assert seen.complaints == []
    note("no console error")


@SIZES
def test_from_the_list_to_the_brief_by_keyboard_alone(
    size: tuple[int, int], opened: Open, passed: Passed, seen: Seen, tmp_path: Path
) -> None:
    def note(check: str) -> None:
        passed("practice review and visit, by keyboard alone", size, check)

    page = opened("/?season=2026&status=act+now&system=hill", size)
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    first = page.locator(".call h3 a").first
    name = first.inner_text()
    tab_to(page, first)
    page.keyboard.press("Enter")
    expect(page.locator("main h1")).to_have_text(name)
    expect(page.locator("main h1")).to_be_focused()
    note("skip link, list, farm")
    tab_to(page, page.locator("select[name=rams]"))
    page.keyboard.press("ArrowDown")
    page.wait_for_url(re.compile("rams="))
    expect(page.locator("#what-if")).to_contain_text("as it stands.")
    expect(page.locator("select[name=rams]")).to_be_focused()
    note("what if, and the focus stays where it was")
    tab_to(page, page.get_by_role("link", name="Visit brief"))
    with page.expect_download() as kept:
        page.keyboard.press("Enter")
    kept.value.save_as(tmp_path / "brief.pdf")
    assert name in PdfReader(tmp_path / "brief.pdf").pages[0].extract_text()
    note("saves the brief")
    tab_to(page, page.get_by_role("link", name="Plan the visit"))
    page.keyboard.press("Enter")
    expect(page.locator("main h1")).to_have_text("Plan the visit")
    expect(page.locator("main h1")).to_be_focused()
    tab_to(page, page.locator("select[name=within]"))
    page.keyboard.press("ArrowDown")
    page.wait_for_url(re.compile("within="))
    expect(page.locator("select[name=within]")).to_be_focused()
    assert seen.complaints == []
    note("plans the visit; no console error")


def tab_to(page: Page, target: Locator, most: int = 150) -> None:
    """Press Tab until `target` has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if target.evaluate("element => element === document.activeElement"):
            return
    expect(target).to_be_focused()
