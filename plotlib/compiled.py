"""The one way to compile a kernel.

A kernel is compiled when it is first called with much to do; numba is loaded then, not before. What
was compiled is kept on disk (:mod:`plotlib.kernel_store`). A kernel that says how much
is little work (``@compiled_above(2_000)``) is run by Python itself until that is used up: the same
source, the same numbers bit for bit, and nobody waits seconds for a compiler that saves
milliseconds.

Only kernel modules import this, and only functions import kernel modules, so that ``import
plotlib`` stays light.
"""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable
from types import FunctionType
from typing import Any, TypeVar, cast

import numpy as np

F = TypeVar("F", bound=Callable[..., Any])

NEVER_COMPILED = 40  # times as much is left to Python where compiling would come first
COMPILING_ANYWAY = 10  # and where somebody waits for the compiler already, once on this computer
_LOCK = threading.RLock()
_PLAIN: dict[int, dict[str, Any]] = {}  # names of a kernel module for Python, by those it has


def compiled(function: F) -> F:
    """Compile for floating point as the standard has it: no fast-math, one thread, the same bytes
    everywhere.
    """
    return cast(F, Kernel(cast(FunctionType, function)))


def compiled_above(little: int) -> Callable[[F], F]:
    """As :func:`compiled`, but Python itself does the first so many numbers (counted in the arrays
    and the whole numbers that the kernel is given), and many more where it was never compiled on
    this computer.

    ``little`` is what Python does in about five milliseconds: loading a kernel from disk takes as
    long, compiling it takes hundreds of times longer. The time of the kernel must grow with these
    numbers and not with their square, and it must be one that Python and the compiler take alike:
    sums, products, quotients and square roots, no sine or logarithm, no whole number beyond 64
    bits, no arithmetic on small kinds of numbers.
    """

    def decorated(function: F) -> F:
        return cast(F, Kernel(cast(FunctionType, function), little))

    return decorated


class Kernel:
    """A function that is compiled when it is needed.

    Called from Python it is an entry: it has what Python needs to call it, and is kept on disk.
    Called from another kernel it is a part of that one: numba asks ``_numba_type_`` for it.
    """

    leaves_little_to_python = True  # False: everything is compiled, to be there later

    def __init__(self, function: FunctionType, little: int = 0) -> None:
        functools.update_wrapper(self, function)
        self.function = function
        self.little = little
        self.done = 0  # numbers that Python has done
        self._entry: Callable[..., Any] | None = None
        self._part: Any = None

    def __call__(self, *arguments: Any) -> Any:
        entry = self._entry
        if entry is None:
            if self.little and self.leaves_little_to_python and self._is_little(arguments):
                return self.run_by_python(*arguments)
            entry = self.entry
        return entry(*arguments)

    def _is_little(self, arguments: tuple[Any, ...]) -> bool:
        numbers = self.done + _numbers(arguments)
        if numbers > self.little and (numbers > _most() * self.little or self.is_kept):
            return False
        self.done = numbers
        return True

    def run_by_python(self, *arguments: Any) -> Any:
        """The same, not compiled."""
        with np.errstate(all="ignore"):
            return self.plain(*arguments)

    @property
    def entry(self) -> Callable[..., Any]:
        """The compiled function, for Python to call."""
        with _LOCK:
            if self._entry is None:
                from plotlib.kernel_store import entry

                self._entry = entry(self.function)
            return self._entry

    @functools.cached_property
    def is_kept(self) -> bool:
        """Whether an earlier process compiled it, so that it is there at once."""
        from plotlib.kernel_store import is_kept

        return is_kept(self.function)

    @property
    def _numba_type_(self) -> Any:
        with _LOCK:
            if self._part is None:
                from plotlib.kernel_store import part

                self._part = part(self.function)
            return self._part._numba_type_

    @functools.cached_property
    def plain(self) -> Callable[..., Any]:
        """The function as Python runs it, calling the plain functions of other kernels."""
        function = self.function
        names = _plain_names(function.__globals__)
        return FunctionType(function.__code__, names, function.__name__, function.__defaults__)


def _most() -> int:
    """How many times its ``little`` a kernel leaves to Python where it was never compiled."""
    from plotlib.kernel_store import is_compiling

    return COMPILING_ANYWAY if is_compiling() else NEVER_COMPILED


def _numbers(arguments: tuple[Any, ...]) -> int:
    """How much there is to do: the numbers in arrays, in tuples too, and what whole numbers
    count.
    """
    total = 0
    for argument in arguments:
        if isinstance(argument, np.ndarray):
            total += argument.size
        elif isinstance(argument, tuple):
            total += _numbers(argument)
        elif isinstance(argument, (int, np.integer)):
            total += abs(int(argument))
    return total


def _plain_names(given: dict[str, Any]) -> dict[str, Any]:
    """The names of a module with plain functions in the place of its kernels."""
    with _LOCK:
        plain = _PLAIN.get(id(given))
        if plain is None:
            plain = dict(given)
            _PLAIN[id(given)] = plain
            for name, value in given.items():
                if isinstance(value, Kernel):
                    plain[name] = value.plain
        return plain
