"""A page is kept for its own visitor and published state, and for nobody and nothing else."""

from collections.abc import Callable
from typing import Any

import pytest

from dashboard import data
from dashboard.kept import Answer, Shelf
from tests.dashboard.access.practice import Visitor

PLACES = (("content", "children"), ("store", "data"))
SignedIn = Callable[[str], Visitor]


def opened(visitor: Visitor, search: str) -> Any:
    """The answer that fills the page of all flocks, asked for as dash does."""
    page, store = ({"id": f"_pages_{part}", "property": what} for part, what in PLACES)
    given = {"pathname": "/", "search": search}
    asked = {
        "output": ".._pages_content.children..._pages_store.data..",
        "outputs": [page, store],
        "inputs": [{"id": "_pages_location", "property": name, "value": given[name]} for name in given],
        "changedPropIds": ["_pages_location.search"],
        "state": [],
    }
    answer = visitor.post("/_dash-update-component", json=asked)
    assert answer.status_code == 200
    return answer


def counted(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Filled with one state each time the call list is worked out."""
    asked: list[object] = []
    work_out = data.flocks

    def counting(reader: object, state: object) -> object:
        asked.append(state)
        return work_out(reader, state)  # type: ignore[arg-type]

    monkeypatch.setattr(data, "flocks", counting)
    return asked


def test_the_same_view_is_worked_out_once(signed_in: SignedIn, monkeypatch: pytest.MonkeyPatch) -> None:
    practice, asked = signed_in("practice"), counted(monkeypatch)
    first, again = (opened(practice, "?find=kept").data for _ in range(2))
    assert first == again
    assert len(asked) == 1


def test_another_view_or_visitor_is_worked_out_anew(
    signed_in: SignedIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    practice, adviser = signed_in("practice"), signed_in("adviser")
    asked = counted(monkeypatch)
    pages = [opened(practice, "?find=a").data, opened(practice, "?find=b").data]
    pages.append(opened(adviser, "?find=a").data)
    assert len(asked) == 3
    assert len(set(pages)) == 3


def test_a_new_publication_is_worked_out_anew(signed_in: SignedIn, monkeypatch: pytest.MonkeyPatch) -> None:
    practice, asked = signed_in("practice"), counted(monkeypatch)
    opened(practice, "?find=new")
    monkeypatch.setattr("pipelines.warehouse.snapshot.Snapshot.generation", lambda _self: 99)
    opened(practice, "?find=new")
    assert len(asked) == 2


def test_a_kept_answer_carries_no_cookie_and_is_fenced(signed_in: SignedIn) -> None:
    practice = signed_in("practice")
    answers = [opened(practice, "?find=fence") for _ in range(2)]
    assert answers[1].headers["Cache-Control"] == "no-store"
    assert "Content-Security-Policy" in answers[1].headers
    assert answers[1].headers.get("Set-Cookie") == answers[0].headers.get("Set-Cookie")


def test_a_full_shelf_lets_go_of_what_was_not_asked_for_longest() -> None:
    shelf = Shelf(most_bytes=25)
    for key in "ab":
        shelf.put(key, Answer(b"0123456789", None))
    assert shelf.take("a") is not None
    shelf.put("c", Answer(b"0123456789", None))
    assert [shelf.take(key) is None for key in "abc"] == [False, True, False]


def test_an_answer_larger_than_the_shelf_is_not_kept() -> None:
    shelf = Shelf(most_bytes=5)
    shelf.put("a", Answer(b"0123456789", None))
    assert shelf.take("a") is None
