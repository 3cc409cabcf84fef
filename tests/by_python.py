"""Kernels run by Python instead of compiled, so that a mutant of one is tried in a moment.

The same source gives the same numbers (:mod:`plotlib.compiled`), but for what compiled code does
not look at: an index outside an array, a whole number beyond 64 bits, a quotient by nothing. A test
that fails on one of these alone says nothing about the compiled kernel, and counts as passed here.
"""

from __future__ import annotations

import ctypes
import signal
import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

LONGEST = 2  # seconds of the processor that a test may take by Python
UNSEEN = IndexError, ArithmeticError  # by what is compiled


class Late(BaseException):
    """A test takes too long by Python; no test catches this."""


class ByPython:
    """A pytest plugin that lets Python run all kernels."""

    def __init__(self, *, limited: bool = False) -> None:
        """Where ``limited``, a test fails that takes more than ``LONGEST`` seconds."""
        import plotlib.planning.ordering.bare_kernel as bare
        from plotlib.compiled import Kernel

        # whoever calls these has their names once it is imported
        assert "plotlib.planning.ordering.tour_kernel" not in sys.modules
        self.limited = limited
        self.unseen = False
        Kernel.__call__ = Kernel.run_by_python  # type: ignore[method-assign]
        for name, kind, result in (
            ("small", ctypes.c_int32, np.int64),
            ("whole", ctypes.c_int64, np.int64),
            ("real", ctypes.c_double, np.float64),
        ):
            setattr(bare, f"{name}_at", _reader(kind, result))
            setattr(bare, f"put_{name}", _writer(kind))
        if limited:
            signal.signal(signal.SIGPROF, _late)

    def pytest_runtest_logstart(self) -> None:
        if self.limited:
            signal.setitimer(signal.ITIMER_PROF, LONGEST)

    def pytest_runtest_logfinish(self) -> None:
        if self.limited:
            signal.setitimer(signal.ITIMER_PROF, 0)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_makereport(self, call: Any) -> Any:
        report = yield
        if not self.limited and call.excinfo is not None and call.excinfo.errisinstance(UNSEEN):
            report.outcome = "passed"
            self.unseen = True
        return report


def _late(*_: object) -> None:
    raise Late


def _reader(kind: Any, result: type) -> Callable[..., Any]:
    size = ctypes.sizeof(kind)

    def read(address: int, index: int) -> Any:
        return result(kind.from_address(int(address) + size * int(index)).value)

    return read


def _writer(kind: Any) -> Callable[..., None]:
    size = ctypes.sizeof(kind)

    def write(address: int, index: int, value: float) -> None:
        place = kind.from_address(int(address) + size * int(index))
        place.value = float(value) if kind is ctypes.c_double else int(value)

    return write
