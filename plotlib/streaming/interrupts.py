"""Ctrl-C while the machine moves: counted, and heeded where it is safe."""

from __future__ import annotations

import signal
import threading
from typing import Any


class Interrupts:
    """Inside its block Ctrl-C is counted and raises nothing, so that it can neither tear a line nor
    keep the pen from going up; in other threads than the main one it does nothing.
    """

    def __init__(self) -> None:
        self.count = 0
        self._before: Any = None
        self._depth = 0

    def __enter__(self) -> Interrupts:
        self._depth += 1
        is_main = threading.current_thread() is threading.main_thread()
        if self._depth == 1 and is_main:
            self._before = signal.signal(signal.SIGINT, self._noted)
        return self

    def __exit__(self, *_: object) -> None:
        self._depth -= 1
        if self._depth == 0 and self._before is not None:
            signal.signal(signal.SIGINT, self._before)
            self._before = None

    def _noted(self, *_: object) -> None:
        self.count += 1
