"""The three users' journeys from start to finish, at a desk and on a phone; one by keyboard alone too."""

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import DESK, PHONE, Seen

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
    brief = saved(page, "Visit brief", tmp_path)
    assert brief.read_bytes().startswith(b"%PDF")
    draw = saved(page, "Draw list", tmp_path)
    assert b"UK 0 " in draw.read_bytes()
    note("takes the brief (PDF) and the draw list (CSV, whole tags) along")
    page.get_by_role("link", name="Plan the visit").click()
    page.wait_for_url(re.compile("/visit/WEXN13"))
    expect(page.locator("main h1")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Wexenthwaite")
    assert barriers(page) == []
    note("plans the visit; axe finds no barrier")
    assert seen.complaints == []
    note("no console error")


@SIZES
def test_discussion_meeting(
    size: tuple[int, int], opened: Open, seen: Seen, passed: Passed, barriers: Barriers, tmp_path: Path
) -> None:
    def note(check: str) -> None:
        passed("discussion meeting", size, check)

    page = opened("/compare", size)
    page.select_option("select[name=system]", "lowland")
    page.wait_for_url(re.compile("system=lowland"))
    expect(page.locator("#shares .main-svg").first).to_be_visible()
    note("compares one system by share on target and by spread")
    assert barriers(page) == []
    note("axe finds no barrier")
    with page.expect_download() as kept:
        page.locator("#shares").get_by_role("button", name="Save as picture").click()
    assert kept.value.suggested_filename == "shares.png"
    note("keeps a picture for the meeting")
    assert seen.complaints == []
    note("no console error")


def test_practice_review_by_keyboard_alone(opened: Open, passed: Passed) -> None:
    page = opened("/?season=2026&status=act+now&system=hill")
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    first = page.locator(".call h3 a").first
    name = first.inner_text()
    for _ in range(25):
        page.keyboard.press("Tab")
        if first.evaluate("link => link === document.activeElement"):
            break
    expect(first).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main h1")).to_have_text(name)
    expect(page.locator("main h1")).to_be_focused()
    passed("practice review", DESK, "by keyboard alone: skip link, list, farm")
