"""The entry page in Debian's Chromium, on a phone's screen, with the signal cut half-way."""

import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import flask
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from werkzeug.serving import make_server

from dashboard.brief.entry import blueprint
from pipelines.imports import Context, parse

TODAY = date.today()
SCORES = [(2.0, "2"), (2.5, "2½"), (3.0, "3"), (2.25, "2"), (3.5, "3½"), (2.5, "2½")]  # score, button
SENT: list[bytes] = []

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    app = flask.Flask(__name__)
    app.register_blueprint(blueprint(0.10, "/import"))

    @app.route("/import", methods=["GET", "POST"])
    def take() -> flask.Response:
        if flask.request.method == "GET":
            return flask.jsonify(ready=True)
        content, replaces = flask.request.files["file"].read(), flask.request.form.get("replaces")
        if any(content != other for other in SENT) and replaces is None:
            answer = flask.jsonify(error="The practice has it already.", replaces="0" * 64)
            answer.status_code = 409
            return answer
        SENT.append(content)
        return flask.jsonify(said="Taken: 1 of 1 row.")

    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/enter/"
    server.shutdown()
    thread.join()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    opened = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    yield opened
    opened.close()


@pytest.fixture
def phone(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.set_default_timeout(10_000)
    page.errors = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.errors.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda said: page.errors.append(said.text) if said.type == "error" else None)  # type: ignore[attr-defined]
    page.goto(f"{address}?farm=H01&group=Top%20hill")
    page.get_by_text("Ready for use out of signal").wait_for()
    return page


def begin(page: Page, way: str) -> None:
    page.get_by_role("button", name=way).tap()
    page.locator("#scoring").wait_for()


def touch(page: Page, score: float, button: str) -> None:
    if score % 0.5:
        page.get_by_role("button", name="and a quarter").tap()
    page.locator(f'#scores button[data-score="{float(score) - score % 0.5:g}"]').tap()
    assert button  # what the thumb sees


def score_ewes(page: Page, numbers: range) -> list[tuple[str, float]]:
    entered = []
    for number in numbers:
        tag, (score, button) = f"8260998120{number + 1:05d}", SCORES[number % len(SCORES)]
        page.locator("[name=tag]").fill(tag)
        touch(page, score, button)
        entered.append((tag, score))
    return entered


def saved(page: Page) -> bytes:
    page.get_by_role("button", name="Finish").tap()
    with page.expect_download() as waiting:
        page.get_by_text("Save the file").tap()
    return Path(waiting.value.path()).read_bytes()


def test_sixty_ewes_survive_a_lost_signal_and_a_reload(phone: Page, context: BrowserContext) -> None:
    begin(phone, "Ewe by ewe")
    entered = score_ewes(phone, range(30))
    context.set_offline(True)
    entered += score_ewes(phone, range(30, 45))
    phone.reload()
    phone.locator("#scoring").wait_for()
    entered += score_ewes(phone, range(45, 60))
    content = saved(phone)
    assert b"UK 0 998120 00001" in content and b"826099812000001" not in content  # a spreadsheet keeps it
    parsed = parse(content, Context(today=TODAY))
    assert parsed.problems == ()
    assert (
        list(zip(parsed.table["ewe"].to_pylist(), parsed.table["score"].to_pylist(), strict=True)) == entered
    )
    assert set(parsed.table["group"].to_pylist()) == {"Top hill"}
    assert [error for error in phone.errors if "ERR_INTERNET_DISCONNECTED" not in error] == []  # type: ignore[attr-defined]


def test_counting_saves_a_tally(phone: Page) -> None:
    begin(phone, "Count by score")
    for score, button in SCORES * 2:
        touch(phone, score, button)
    parsed = parse(saved(phone), Context(today=TODAY))
    counts = dict(zip(parsed.table["score"].to_pylist(), parsed.table["count"].to_pylist(), strict=True))
    assert (parsed.layout, parsed.problems) == ("tally", ())
    assert counts == {2.0: 2, 2.25: 2, 2.5: 4, 3.0: 2, 3.5: 2}


def test_the_share_thin_runs_along_with_its_interval(phone: Page) -> None:
    begin(phone, "Count by score")
    for score, button in SCORES:
        touch(phone, score, button)
    assert phone.locator("#share").inner_text() == "2 of 6 thin: 33 %"
    # statsmodels proportion_confint(2, 6, alpha=.1, method="wilson"): 0.1217, 0.6454
    assert "between 12 % and 65 % thin" in phone.locator("#interval").inner_text()


def test_the_stopping_rule_speaks_once_the_share_is_sure(phone: Page) -> None:
    begin(phone, "Count by score")
    for _ in range(5):
        assert phone.locator("#hint").inner_text() == ""
        touch(phone, 2.0, "2")
        if phone.locator("#hint").inner_text():
            break
    assert phone.locator("#hint").inner_text() == "Enough to tell: surely more than 10 % thin."


def test_a_tag_is_not_taken_twice_and_the_last_score_can_be_undone(phone: Page) -> None:
    begin(phone, "Ewe by ewe")
    touch(phone, 2.0, "2")
    assert "Read or type the tag first" in phone.locator("#said").inner_text()
    for tag in ("B 12", "b12"):
        phone.locator("[name=tag]").fill(tag)
        touch(phone, 2.0, "2")
    assert "scored already: 2" in phone.locator("#said").inner_text()
    phone.get_by_role("button", name="Undo").tap()
    assert phone.locator("#share").inner_text() == "No ewe scored yet"


def test_everything_to_touch_is_within_a_thumbs_reach(phone: Page) -> None:
    begin(phone, "Ewe by ewe")
    for button in phone.locator("#scores button").all():
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 48
        assert box["y"] > 844 / 2 - 48
        assert box["y"] + box["height"] <= 844
    assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_a_finished_session_can_be_sent_to_the_practice(phone: Page) -> None:
    SENT.clear()
    begin(phone, "Count by score")
    touch(phone, 3.0, "3")
    phone.get_by_role("button", name="Finish").tap()
    phone.get_by_role("button", name="Send to the practice").tap()
    phone.get_by_text("Sent. Taken: 1 of 1 row.").wait_for()
    assert SENT[-1].decode().splitlines()[1].startswith(f"H01,{TODAY.isoformat()},Top hill,,,3,1")


def test_a_session_that_goes_on_replaces_what_was_sent_only_when_wanted(phone: Page) -> None:
    SENT.clear()
    asked: list[str] = []
    phone.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    begin(phone, "Count by score")
    for said in ("Taken", "Taken"):
        touch(phone, 3.0, "3")
        phone.get_by_role("button", name="Finish").tap()
        phone.get_by_role("button", name="Send to the practice").tap()
        phone.get_by_text(f"Sent. {said}").wait_for()
        phone.get_by_role("button", name="Score more").tap()
    assert asked[-1] == "The practice has it already. Replace it?"
    assert SENT[-1].decode().splitlines()[1].endswith(",3,2")


def test_the_policy_forbids_scripts_in_the_page() -> None:
    app = flask.Flask(__name__)
    app.register_blueprint(blueprint(0.10))
    answer = app.test_client().get("/enter/")
    assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
    assert "unsafe" not in answer.headers["Content-Security-Policy"]
    assert b"onclick" not in answer.data
    assert app.test_client().get("/enter/../pdf.py").status_code == 404


def test_the_farms_own_line_is_offered_and_a_formula_is_no_group(phone: Page, address: str) -> None:
    phone.goto(f"{address}?farm=H01&group=%3Dx&low=2.6")
    expect(phone.locator("[name=low]")).to_have_value("2.6")
    assert phone.locator("[name=group]").evaluate("field => field.validity.patternMismatch")
    phone.goto(f"{address}?farm=H01&group=Top&low=x")
    expect(phone.locator("[name=low]")).to_have_value("2.5")
