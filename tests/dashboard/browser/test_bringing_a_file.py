"""A file dropped on the Files page, looked at, its columns named, imported, its report read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths

from .conftest import DESK, PHONE, served

expect.set_options(timeout=20_000)
pytestmark = pytest.mark.browser
DAY = "2026-09-20"
REGISTER = "farm,name,system,ewes,weaned_on,rams_in\nNORTHBARN,North Barn,hill,40,2026-07-28,2026-10-24\n"
SHEET = "Holding ref;Day;Pen;Beast;Cond;Weather\n" + "".join(
    f"NORTHBARN;05/09/2026;Shearlings;{ewe};{7 if ewe == 4 else 2 + ewe % 4 / 2};fair\n"
    for ewe in range(1, 26)
)
MEANS = {"Holding ref": "farm", "Day": "scored_on", "Pen": "group", "Beast": "ewe", "Cond": "score"}
DROP = """([place, name, text]) => {
  const carried = new DataTransfer();
  carried.items.add(new File([text], name, { type: "text/csv" }));
  const event = new DragEvent("drop", { dataTransfer: carried, bubbles: true, cancelable: true });
  document.querySelector(place).dispatchEvent(event);
}"""


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a practice of one farm, without a score yet."""
    folder = tmp_path_factory.mktemp("bringing")
    (folder / "register.csv").write_text(REGISTER)
    import_paths([folder / "register.csv"], Settings(folder / "home"))
    with served("--home", str(folder / "home"), "--as-of", DAY) as address:
        yield address


@pytest.fixture
def opened(chromium: Browser, practice: str) -> Iterator[Callable[..., Page]]:
    contexts = []

    def open_files(size: tuple[int, int] = DESK) -> Page:
        contexts.append(chromium.new_context(viewport={"width": size[0], "height": size[1]}))
        page = contexts[-1].new_page()
        page.set_default_timeout(20_000)
        page.goto(f"{practice}/files")
        expect(page.locator("[data-drop]")).to_be_visible()
        return page

    yield open_files
    for context in contexts:
        context.close()


def choose(page: Page, path: Path) -> None:
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="choose it").click()
    chooser.value.set_files(path)
    page.wait_for_url("**/offer/**")


def test_drop_look_name_the_columns_import_and_read_the_report(opened: Callable[..., Page]) -> None:
    page = opened()
    page.evaluate(DROP, ["body", "yard sheet.csv", SHEET])  # beside the place: the whole page takes it
    page.wait_for_url("**/offer/**")
    expect(page.locator("main h1")).to_have_text("yard sheet.csv")
    expect(page.locator(".column.unknown")).to_have_count(6)
    for left, (heading, column) in enumerate(reversed(MEANS.items())):
        page.select_option(f'select[name="map.{heading}"]', column)
        expect(page.locator(".column.unknown")).to_have_count(5 - left)
    expect(page.locator(".lead")).to_contain_text("24 of 25 rows can be taken; 1 would be refused")
    expect(page.locator(".cell-error")).to_have_text("7")
    expect(page.locator(".row-error th")).to_have_text("5")
    page.get_by_role("button", name="Import 24 rows").click()
    expect(page.locator(".outcome .status")).to_have_text("Imported, with problems")
    expect(page.locator(".problems")).to_contain_text("line 5")
    page.get_by_role("link", name="See NORTHBARN").click()
    expect(page.locator("main h1")).to_have_text("North Barn")


def test_the_next_sheet_of_the_farm_needs_no_naming_and_a_corrected_one_shows_its_difference(
    opened: Callable[..., Page], tmp_path: Path
) -> None:
    page = opened(PHONE)
    (tmp_path / "yard sheet.csv").write_text(SHEET.replace(";7;fair", ";2;fair"))
    choose(page, tmp_path / "yard sheet.csv")
    expect(page.locator(".column.unknown")).to_have_count(1)
    expect(page.get_by_role("button", name="Import")).to_have_count(0)
    page.select_option("select[name=replaces]", label="It corrects yard sheet.csv: replace that")
    expect(page.locator(".counts")).to_contain_text("1 added")
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]
    page.get_by_role("button", name="Import 25 rows and replace").click()
    expect(page.locator(".outcome")).to_contain_text("rows added 1, removed 0, changed 0")


def test_a_file_is_withdrawn_and_brought_back(opened: Callable[..., Page]) -> None:
    page = opened()
    page.get_by_role("link", name="Correct or withdraw").first.click()
    page.get_by_role("button", name="Withdraw this file").click()
    expect(page.locator("main").get_by_role("status")).to_contain_text("All tables follow")
    page.get_by_role("button", name="Let it count again").click()
    expect(page.get_by_role("button", name="Withdraw this file")).to_be_visible()


def test_more_than_one_file_at_a_time_is_refused_in_words(opened: Callable[..., Page]) -> None:
    page = opened()
    page.evaluate("""() => {
      const carried = new DataTransfer();
      for (const name of ["a.csv", "b.csv"]) carried.items.add(new File(["x"], name));
      document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: carried, bubbles: true }));
    }""")
    expect(page.locator(".drop .trouble")).to_contain_text("One file at a time")
