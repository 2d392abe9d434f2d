"""Cursors kept for the next visitor serve their own scope and published state alone."""

import threading

import duckdb
import pytest

from pipelines.queries import Kept, Reader

FARMS = "select distinct farm from farm_season order by farm"
SCOPES = [frozenset({"F1"}), frozenset({"F2"}), frozenset({"F1", "F3"}), frozenset(), None]
EVERY = ["F1", "F2", "F3"]


class Numbered:
    """The published practice, with a generation that the test moves on."""

    def __init__(self, published):
        self.cursor, self.number = published.cursor, 1

    def generation(self):
        return self.number


@pytest.fixture
def snapshot(published):
    return Numbered(published)


@pytest.fixture
def kept(snapshot):
    return Kept(snapshot, most=3)


def cursor_of(kept, scope):
    with kept.cursor(scope) as cursor:
        return cursor


def seen(kept, snapshot, scope):
    reader = Reader(snapshot, scope, kept)
    try:
        return [farm for (farm,) in reader.rows(FARMS)]
    finally:
        reader.close()


def test_the_same_scope_is_served_by_the_cursor_made_for_it(kept):
    assert cursor_of(kept, frozenset({"F1"})) is cursor_of(kept, frozenset({"F1"}))


def test_another_scope_never_gets_it(kept, snapshot):
    mine = cursor_of(kept, frozenset({"F1"}))
    for scope in SCOPES[1:]:
        with kept.cursor(scope) as cursor:
            assert cursor is not mine
    assert [seen(kept, snapshot, scope) for scope in SCOPES] == [["F1"], ["F2"], ["F1", "F3"], [], EVERY]


def test_two_visitors_at_once_have_one_each(kept):
    with kept.cursor(frozenset({"F1"})) as one, kept.cursor(frozenset({"F1"})) as other:
        assert one is not other


def test_a_new_publication_is_read_by_new_cursors_and_the_old_are_closed(kept, snapshot):
    old = cursor_of(kept, frozenset({"F1"}))
    snapshot.number = 2
    assert cursor_of(kept, frozenset({"F1"})) is not old
    with pytest.raises(duckdb.ConnectionException):
        old.execute("select 1")


def test_a_cursor_that_failed_its_visitor_is_not_kept(kept):
    failed = cursor_of(kept, frozenset({"F1"}))
    with pytest.raises(ZeroDivisionError), kept.cursor(frozenset({"F1"})) as cursor:
        assert cursor is failed
        raise ZeroDivisionError
    assert cursor_of(kept, frozenset({"F1"})) is not failed


def test_no_more_are_kept_than_said(kept):
    first = cursor_of(kept, frozenset({"F1"}))
    for other in ("F2", "F3", "F4"):
        cursor_of(kept, frozenset({other}))
    with pytest.raises(duckdb.ConnectionException):
        first.execute("select 1")


def test_many_threads_of_many_scopes_never_see_each_others_farms(kept, snapshot):
    wrong = []

    def visit(scope):
        for _ in range(40):
            found = seen(kept, snapshot, scope)
            if found != (EVERY if scope is None else sorted(scope)):
                wrong.append((scope, found))

    threads = [threading.Thread(target=visit, args=(scope,)) for scope in SCOPES * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
