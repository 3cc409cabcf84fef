"""Ctrl-C, counted."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator

import pytest

from plotlib.streaming.interrupts import Interrupts


@pytest.fixture(autouse=True)
def _ctrl_c_is_heard() -> Iterator[None]:
    """As in a terminal; what is started in the background may have it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def test_inside_it_is_counted_and_outside_it_raises() -> None:
    before = signal.getsignal(signal.SIGINT)
    interrupts = Interrupts()
    with interrupts as inner:
        assert inner is interrupts
        signal.raise_signal(signal.SIGINT)
        with interrupts:
            signal.raise_signal(signal.SIGINT)
        assert signal.getsignal(signal.SIGINT) is not before  # only the outer block ends it
        signal.raise_signal(signal.SIGINT)
    assert interrupts.count == 3
    assert signal.getsignal(signal.SIGINT) is before
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)
    with interrupts:
        signal.raise_signal(signal.SIGINT)
    assert interrupts.count == 4
    assert signal.getsignal(signal.SIGINT) is before


def test_other_threads_change_nothing() -> None:
    before = signal.getsignal(signal.SIGINT)
    seen = []

    def work() -> None:
        with Interrupts() as interrupts:
            seen.append(signal.getsignal(signal.SIGINT))
        seen.append(interrupts.count)

    worker = threading.Thread(target=work)
    worker.start()
    worker.join()
    assert seen == [before, 0]
