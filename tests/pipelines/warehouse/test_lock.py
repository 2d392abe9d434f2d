import os
import threading
from pathlib import Path

import pytest

from pipelines.warehouse.errors import WarehouseBusyError
from pipelines.warehouse.lock import writer_lock


def test_the_second_writer_is_told_who_writes_and_since_when(tmp_path: Path) -> None:
    lock = tmp_path / "writer.lock"
    with writer_lock(lock), pytest.raises(WarehouseBusyError) as refusal, writer_lock(lock, wait_seconds=0.1):
        pass
    assert f"process {os.getpid()} (since 20" in str(refusal.value)
    assert "--wait" in str(refusal.value)


def test_the_second_writer_waits_and_then_writes(tmp_path: Path) -> None:
    lock, order = tmp_path / "writer.lock", []
    holding, let_go = threading.Event(), threading.Event()

    def first() -> None:
        with writer_lock(lock):
            holding.set()
            let_go.wait(5)
            order.append("first")

    thread = threading.Thread(target=first)
    thread.start()
    holding.wait(5)
    threading.Timer(0.2, let_go.set).start()
    with writer_lock(lock, wait_seconds=5):
        order.append("second")
    thread.join()
    assert order == ["first", "second"]


def test_the_lock_is_free_again_after_a_failure(tmp_path: Path) -> None:
    lock = tmp_path / "writer.lock"
    with pytest.raises(ZeroDivisionError), writer_lock(lock):
        raise ZeroDivisionError
    with writer_lock(lock, wait_seconds=0):
        pass
