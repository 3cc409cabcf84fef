"""Ctrl-C is heard while tiles are laid and drawn: what cannot stop is left to its thread."""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from shapely import box

from plotlib import Drawing, growth, progress, tilings

pytestmark = pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")

SOON = 0.1  # seconds, in the middle of what follows
LOOK = 0.01  # seconds between two looks at the threads
SHEET = box(0, 0, 300, 300)


@pytest.fixture(autouse=True)
def no_collection() -> Iterator[None]:
    """What is raised inside a hook of it, as hypothesis has one, is lost."""
    gc.disable()
    yield
    gc.enable()
    progress.listen_on_stderr()


def lattice() -> Drawing:
    """A grid of 250 by 250 lines."""
    far = np.arange(250.0)
    rows: list[Any] = [[(0, y), (249, y)] for y in far]
    return Drawing(rows + [[(x, 0), (x, 249)] for x in far])


# each a second or more of work without a look at the clock
DEAF: dict[str, tuple[Callable[[], Any], Callable[[Any], Any]]] = {
    "archimedean": (lambda: SHEET, lambda area: tilings.archimedean(area, "3.4.6.4", side=1.4)),
    "automaton": (lambda: SHEET, lambda area: growth.automaton(area, rule=30, spacing=0.8)),
    "interlaced": (lattice, lambda lines: tilings.interlaced(lines.turned(45), width=0.2)),
    "knot": (lattice, tilings.knot),
    "maze": (lambda: SHEET, lambda area: growth.maze(area, spacing=0.3)),
    "veins": (
        lambda: box(0, 0, 100, 100),
        lambda area: growth.veins(area, spacing=1, drawn="outlines"),
    ),
}


@pytest.mark.parametrize("name", DEAF)
def test_long_calls_are_not_waited_for(name: str) -> None:
    """The thread that works is still at it when the interrupt comes back."""
    make, call = DEAF[name]
    given = make()
    before = set(threading.enumerate())
    is_over = threading.Event()

    def workers() -> set[threading.Thread]:
        return set(threading.enumerate()) - before - {watcher}

    def watch() -> None:
        while not workers():
            if is_over.wait(LOOK):
                return
        if not is_over.wait(SOON):
            os.kill(os.getpid(), signal.SIGINT)

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        with pytest.raises(KeyboardInterrupt):
            call(given)
    finally:
        is_over.set()
        watcher.join()
    left = workers()
    assert left
    for thread in left:
        thread.join(60)


def test_rows_of_wang_tiles_end_on_ctrl_c() -> None:
    told: list[float] = []
    sender = threading.Timer(SOON, os.kill, (os.getpid(), signal.SIGINT))

    def listener(_: str, share: float | None) -> None:
        if share != 1:  # which is told at the end, of whatever kind
            told.append(share or 0.0)
        if len(told) == 3:
            sender.start()

    progress.listen(listener)
    with pytest.raises(KeyboardInterrupt):
        tilings.wang(SHEET, "sixteen", side=0.7)
    assert 0 < told[-1] < 0.9
