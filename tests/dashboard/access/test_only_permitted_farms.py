"""Every route and callback, asked by each role for every farm: only permitted farms occur in the answers."""

import functools
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import pytest
from dash import Dash

from tests.dashboard.access.attacks import Scene
from tests.dashboard.access.practice import FARMS, OTHERS, OWN, Invented, Visitor
from tests.dashboard.access.walk import Answer, everything

Enter = Callable[[str], Visitor]
Walk = Callable[[str], list[Answer]]
CODES = [farm.code for farm in FARMS]
NAMES = [*(word for farm in FARMS for word in (farm.name, farm.code)), "Ravens", "Herons"]


@pytest.fixture(scope="module")
def walked(app: Dash, home: Path) -> Callable[[str], list[Answer]]:
    """All answers that a role gets, asked for once."""
    scene = Scene(home, app)

    @functools.cache
    def walk(role: str) -> list[Answer]:
        visitor = scene.stranger() if role == "nobody" else scene.signed_in(role)
        return list(everything(app, visitor, CODES, NAMES))

    return walk


def told(answers: Sequence[Answer], farms: Iterable[Invented]) -> set[tuple[str, str]]:
    """Words by which a farm can be recognised, with the question that brought them out; what a question
    itself said (an address repeated in the answer) tells nothing new."""
    return {
        (word, answer.asked)
        for answer in answers
        for farm in farms
        for word in (*farm.words, f"{farm.code}-ewes.csv", f"{farm.code}-broken.csv")
        if word in answer.text and word not in answer.asked
    }


def test_the_walk_reaches_everything_the_practice_may_see(walked: Walk) -> None:
    found = {word for word, _ in told(walked("practice"), FARMS)}
    assert found >= {word for farm in FARMS for word in (farm.code, farm.name, farm.region)}
    assert {f"{farm.code}-broken.csv" for farm in FARMS} <= found
    assert {farm.tag for farm in FARMS} <= found


def test_an_adviser_is_told_of_no_other_farm(walked: Walk) -> None:
    assert {word for word, _ in told(walked("adviser"), OWN)} >= {farm.name for farm in OWN}
    assert told(walked("adviser"), OTHERS) == set()


def test_asking_for_another_farm_looks_like_asking_for_none(signed_in: Enter) -> None:
    adviser = signed_in("adviser")
    for table in ("readiness", "scores", "shares", "seasons", "ewes"):
        other, none = adviser.get(f"/save/{table}/EASTHOLM.csv"), adviser.get(f"/save/{table}/NOWHERE.csv")
        assert (other.status_code, other.data) == (none.status_code, none.data) == (404, none.data)


def test_a_member_is_told_of_no_farm(walked: Walk) -> None:
    assert told(walked("member"), FARMS) == set()


def test_nobody_signed_out_is_told_of_a_farm(walked: Walk) -> None:
    assert told(walked("nobody"), FARMS) == set()
    assert {answer.status for answer in walked("nobody")} <= {200, 302, 401, 403, 404}
    full = [answer.asked for answer in walked("nobody") if answer.status == 200]
    assert {asked.split("?")[0] for asked in full} == {
        "GET /sign-in", "GET /health", "GET /bootstrap.min.css", "GET /_favicon.ico", "GET /enter/",
        "GET /enter/stopping.json"
    }  # fmt: skip


def test_no_question_is_answered_by_a_failure(walked: Walk) -> None:
    for role in ("practice", "adviser", "member", "nobody"):
        assert [answer.asked for answer in walked(role) if answer.status >= 500] == []


def test_a_member_is_led_to_what_the_account_includes(signed_in: Enter) -> None:
    member = signed_in("member")
    assert member.get("/compare").headers["Location"] == "/release"
    assert "discussion-group comparisons" in member.get("/account").text
    assert "Ravens" in member.get("/account").text


def test_only_the_practice_sends_anything_to_an_address_not_yet_named(signed_in: Enter) -> None:
    for role in ("adviser", "member"):
        assert signed_in(role).post("/files/new-in-some-later-version").status_code in (403, 405)
