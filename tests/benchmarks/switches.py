"""Snapshot switches while people read: how many requests fail (none may), and what it costs them.

    python tests/benchmarks/switches.py [--switches 1000] [--readers 10]

The demo is served by the real server. Generations are published one after another, as an import does it:
the tables are written beside the old ones, then the pointer moves. Meanwhile readers ask for every page and
for `/health` without a pause. The floor is the same reading without any switch.
"""

from __future__ import annotations

import argparse
import itertools
import shutil
import statistics
import tempfile
import threading
import time
from pathlib import Path

from served import Memory, Person, Times, memory, server

from demo_farms import AS_OF, FILES
from pipelines.settings import Settings
from pipelines.warehouse.durable import replace_content
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.places import Places
from pipelines.warehouse.pointer import Pointer, current
from pipelines.warehouse.publish import _remove_old

PAGES = (("/", ""), ("/farm/WEXN13", ""), ("/compare", "?system=hill"), ("/files", ""), ("/", "?find=a"))


def switch(places: Places) -> None:
    """Publish the current tables again under the next number, in the steps of `publish`."""
    now = current(places)
    assert now is not None
    number = now.generation + 1
    shutil.copyfile(places.generation(now.generation), places.generation(number))
    replace_content(places.pointer, Pointer(number, now.state).text().encode())
    _remove_old(places, number)


def reading(port: int, readers: int, done: threading.Event) -> tuple[Times, list[threading.Thread]]:
    """Readers who ask for one page after another until `done`."""
    times = Times()

    def read(number: int) -> None:
        person = Person(port)
        for path, search in itertools.islice(itertools.cycle(PAGES), number, None):
            if done.is_set():
                return
            try:
                times.note(path, person.click(path, search)[1])
            except Exception as error:  # whatever a reader meets is a failed request
                times.failed.append(repr(error))
                person = Person(port)

    threads = [threading.Thread(target=read, args=(number,)) for number in range(readers)]
    for thread in threads:
        thread.start()
    return times, threads


def middle(times: Times) -> float:
    """Median milliseconds of all answers."""
    return statistics.median(itertools.chain.from_iterable(times.taken.values())) * 1e3


def main() -> None:
    """Import the demo, read without and with switches, print."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--switches", type=int, default=1000)
    options.add_argument("--readers", type=int, default=10)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        import_paths([FILES], Settings(home=home, as_of=AS_OF))
        with server(home, AS_OF.isoformat()) as (port, process):
            done = threading.Event()
            quiet, threads = reading(port, chosen.readers, done)
            time.sleep(5)
            done.set()
            for thread in threads:
                thread.join()
            before, peak = memory(process), Memory(process)
            peak.start()
            done = threading.Event()
            times, threads = reading(port, chosen.readers, done)
            start = time.perf_counter()
            for _ in range(chosen.switches):
                switch(Places(home))
            seconds = time.perf_counter() - start
            done.set()
            for thread in threads:
                thread.join()
            highest = peak.stop()
    answers = sum(map(len, times.taken.values()))
    print(f"{chosen.switches} switches in {seconds:.0f} s under {chosen.readers} readers")
    print(f"{answers} answers, {len(times.failed)} failed {times.failed[:3]}")
    print(f"median {middle(times):.0f} ms, without switches {middle(quiet):.0f} ms")
    print(f"memory of the server: {before:.0f} MiB before, {highest:.0f} MiB at most")


if __name__ == "__main__":
    main()
