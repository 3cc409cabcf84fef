"""Ctrl-C while the planner works."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable

import pytest

from plotlib.interrupt import interruptible, side_by_side

CODE = """
import os, signal, threading
import numpy as np
from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.order import Runs, order
points = np.random.default_rng(1).integers(0, 1_000_000, (160_000, 2))
offsets = np.arange(0, 160_001, 2)
metric = distance_metric(1.0)
threading.Timer({wait}, os.kill, (os.getpid(), signal.SIGINT)).start()
{call}
print("not interrupted")
"""
CALLS = {
    "bound": "lower_bound(points, offsets, metric, home=(0, 0), finish=(0, 0))",
    "blocks": "order(Runs(points, offsets), metric, home=(0, 0), finish=(0, 0), effort=50)",
}


@pytest.mark.parametrize("wait", [0.2, 2.0])
@pytest.mark.parametrize("call", CALLS)
def test_an_interrupt_is_a_keyboard_interrupt_wherever_it_comes(call: str, wait: float) -> None:
    """The bound used to end in a SystemError now and then, and the blocks waited for each other."""
    code = CODE.format(call=CALLS[call], wait=wait)
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert told.returncode != 0
    assert told.stderr.strip().endswith("KeyboardInterrupt")
    assert "SystemError" not in told.stderr
    assert told.stdout == ""


def test_work_that_never_ends_is_left_and_told_to_stop() -> None:
    ended = threading.Event()

    def work(go_on: Callable[[], bool]) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        while go_on():
            pass
        ended.set()

    with pytest.raises(KeyboardInterrupt):
        interruptible(work)
    assert ended.wait(60)


def test_results_and_errors_come_back() -> None:
    assert interruptible(lambda go_on: go_on()) is True
    with pytest.raises(ZeroDivisionError):
        interruptible(lambda _: 1 // 0)
    found = side_by_side(lambda k: k * k, range(20), threads=3)
    assert found == [k * k for k in range(20)]
    with pytest.raises(ZeroDivisionError):
        side_by_side(lambda k: 1 // k, range(3), threads=2)


def test_work_of_another_thread_is_done_there() -> None:
    seen = []

    def asked() -> None:
        seen.append(interruptible(lambda _: threading.current_thread().name))

    one = threading.Thread(target=asked, name="another")
    one.start()
    one.join()
    assert seen == ["another"]
