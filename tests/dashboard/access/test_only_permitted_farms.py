"""Every route and callback, asked by each role for every farm: only permitted farms occur in the answers."""

from collections.abc import Callable, Iterable, Sequence

from dash import Dash

from tests.dashboard.access.practice import FARMS, OTHERS, OWN, Invented, Visitor
from tests.dashboard.access.walk import Answer, everything

Enter = Callable[[str], Visitor]
CODES = [farm.code for farm in FARMS]
NAMES = [*(word for farm in FARMS for word in (farm.name, farm.code)), "Ravens", "Herons"]


def answers(app: Dash, visitor: Visitor) -> list[Answer]:
    return list(everything(app, visitor, CODES, NAMES))


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


def test_the_walk_reaches_everything_the_practice_may_see(app: Dash, signed_in: Enter) -> None:
    found = {word for word, _ in told(answers(app, signed_in("practice")), FARMS)}
    assert found >= {word for farm in FARMS for word in (farm.code, farm.name, farm.region)}
    assert {f"{farm.code}-broken.csv" for farm in FARMS} <= found
    assert {farm.tag for farm in FARMS} <= found


def test_an_adviser_is_told_of_no_other_farm(app: Dash, signed_in: Enter) -> None:
    walked = answers(app, signed_in("adviser"))
    assert {word for word, _ in told(walked, OWN)} >= {farm.name for farm in OWN}
    assert told(walked, OTHERS) == set()


def test_asking_for_another_farm_looks_like_asking_for_none(signed_in: Enter) -> None:
    adviser = signed_in("adviser")
    for table in ("readiness", "scores", "shares", "seasons", "ewes"):
        other, none = adviser.get(f"/save/{table}/EASTHOLM.csv"), adviser.get(f"/save/{table}/NOWHERE.csv")
        assert (other.status_code, other.data) == (none.status_code, none.data) == (404, none.data)


def test_a_member_is_told_of_no_farm(app: Dash, signed_in: Enter) -> None:
    assert told(answers(app, signed_in("member")), FARMS) == set()


def test_nobody_signed_out_is_told_of_a_farm(app: Dash, visitor: Visitor) -> None:
    walked = answers(app, visitor)
    assert told(walked, FARMS) == set()
    assert {answer.status for answer in walked} <= {200, 302, 401, 403, 404}
    full = [answer.asked for answer in walked if answer.status == 200]
    assert {asked.split("?")[0] for asked in full} == {
        "GET /sign-in", "GET /health", "GET /bootstrap.min.css", "GET /_favicon.ico"
    }  # fmt: skip


def test_no_question_is_answered_by_a_failure(app: Dash, signed_in: Enter) -> None:
    for role in ("practice", "adviser", "member"):
        assert [answer.asked for answer in answers(app, signed_in(role)) if answer.status >= 500] == []
