"""A page that stays open while scores come in: it follows them, and disturbs nobody who is at work on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths

from .conftest import served

expect.set_options(timeout=20_000)
pytestmark = pytest.mark.browser
DAY = date(2026, 9, 20)
REGISTER = "farm,name,system,ewes,weaned_on,rams_in\nNORTHBARN,North Barn,hill,40,2026-07-28,2026-10-24\n"
SLOWLY = """() => {
  const ask = window.fetch;
  window.fetch = async (...asked) => {
    if (String(asked[0]).includes("_dash-update")) await new Promise((go) => setTimeout(go, 1500));
    return ask(...asked);
  };
}"""
STANDS = """async (height) => {
  for (const until = Date.now() + 5000; Date.now() < until; await new Promise(requestAnimationFrame))
    if (Math.abs(window.scrollY - height) < 20) return true;
  return false;
}"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("following") / "home"


@pytest.fixture(scope="module")
def scores_come_in(home: Path) -> Callable[[str], object]:
    """Imports a session of ten ewes of that day, as somebody else at the practice would."""

    def bring(day: str) -> object:
        rows = "".join(f"NORTHBARN,{day},gimmers,UK{ewe},2.{ewe % 2 * 5}\n" for ewe in range(10))
        (home.parent / f"{day}.csv").write_text("farm,scored_on,group,ewe,score\n" + rows)
        return import_paths([home.parent / f"{day}.csv"], Settings(home, DAY))

    return bring


@pytest.fixture(scope="module")
def practice(home: Path, scores_come_in: Callable[[str], object]) -> Iterator[str]:
    (home.parent / "register.csv").write_text(REGISTER)
    import_paths([home.parent / "register.csv"], Settings(home, DAY))
    scores_come_in("2026-08-20")
    with served("--home", str(home), "--as-of", DAY.isoformat()) as address:
        yield address


@pytest.fixture
def opened_at(chromium: Browser, practice: str) -> Iterator[Callable[[str], Page]]:
    contexts: list[Any] = []

    def look(path: str) -> Page:
        contexts.append(chromium.new_context(viewport={"width": 390, "height": 844}))
        page: Page = contexts[-1].new_page()
        with page.expect_response("**/health"):  # from here on it knows what it shows
            page.goto(practice + path)
        page.wait_for_selector("main h1")
        return page

    yield look
    for each in contexts:
        each.close()


def test_new_scores_appear_where_the_reader_stands(
    opened_at: Callable[[str], Page], scores_come_in: Callable[[str], object]
) -> None:
    page = opened_at("/farm/NORTHBARN")
    page.locator("main a[href^='/visit']").first.focus()
    page.evaluate("window.scrollTo(0, 300)")
    expect(page.locator("main")).not_to_contain_text("5 Sep")
    scores_come_in("2026-09-05")
    expect(page.locator("main")).to_contain_text("5 Sep")
    expect(page.locator("#news")).to_contain_text("Brought up to date at")
    expect(page.locator("main a[href^='/visit']").first).to_be_focused()
    assert page.evaluate(STANDS, 300), "it is drawn where the reader stood"


def test_what_somebody_is_typing_is_left_alone_until_they_ask(
    opened_at: Callable[[str], Page], scores_come_in: Callable[[str], object]
) -> None:
    page = opened_at("/farm/NORTHBARN")
    page.evaluate("document.querySelectorAll('main details').forEach((each) => (each.open = true))")
    tag = page.locator("form[data-send-form] input:visible").first
    tag.press_sequentially("UK3")
    scores_come_in("2026-09-12")
    expect(page.locator("#news")).to_contain_text("New figures have come in.")
    expect(tag).to_have_value("UK3")
    expect(page.locator("main")).not_to_contain_text("12 Sep")
    page.get_by_role("button", name="Show them").click()
    expect(page.locator("main")).to_contain_text("12 Sep")


def test_a_button_does_nothing_while_another_page_is_on_its_way(opened: Callable[..., Page]) -> None:
    page = opened("/group")
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.url) if asked.url.endswith("/release") else None)
    page.evaluate(SLOWLY)
    page.select_option("select[name=group]", "Midwater")
    page.wait_for_selector("[data-dash-is-loading]", state="attached")
    page.locator("form[data-send-form]").evaluate("(form) => form.requestSubmit()")
    expect(page.locator("main h2").first).to_have_text("Midwater, 2026")
    assert sent == [], "a comparison was made of the group that was no longer chosen"
