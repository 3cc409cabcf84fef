"""What long work tells while it works: which work it is, and how far.

Work that may take long runs inside :func:`stage`. Whoever listens is told; by default that is one
line on stderr, shown after two silent seconds and taken away at the end, and only where somebody
looks on: at a terminal or in a notebook, not in a log or under a test.
"""

from __future__ import annotations

import contextlib
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

SILENT = 2.0  # seconds of work before the line is shown
AGAIN = 0.5  # seconds between two looks at it

Listener: TypeAlias = "Callable[[str, float | None], object]"


@dataclass
class Stage:
    """A piece of work that goes on.

    Attributes
    ----------
    what : str
        The work, as in "looking for a short order".
    share : float or None
        How much of it is done, 0 to 1; None where nobody knows.
    """

    what: str
    share: float | None = None

    def done(self, share: float) -> None:
        """Tell how much is done, 0 to 1."""
        self.share = share
        _told.tell(self)


def listen(listener: Listener | None) -> None:
    """Let a function of your own show the progress of long work.

    Parameters
    ----------
    listener : function or None
        Called as ``listener(what, share)`` whenever a piece of work begins (share 0) or is told to
        be done to a share, None where that is not known, and once more with 1 when it ends; in the
        thread that works. None: nothing is shown.

    Examples
    --------
    >>> seen = []
    >>> listen(lambda what, share: seen.append((what, share)))
    >>> with stage("counting sheep") as work:
    ...     work.done(0.5)
    >>> seen
    [('counting sheep', 0.0), ('counting sheep', 0.5), ('counting sheep', 1.0)]
    >>> listen_on_stderr()
    """
    _told.listener = listener
    _told.is_line = False


def listen_on_stderr() -> None:
    """Go back to the line on stderr."""
    _told.listener = None
    _told.is_line = True


def announce(line: str) -> None:
    """Write a line to stderr that is to stay there; nothing where :func:`listen` has another
    listener.
    """
    if _told.is_line and sys.stderr is not None:
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.write(f"{line}\n")
            sys.stderr.flush()


@contextlib.contextmanager
def stage(what: str) -> Iterator[Stage]:
    """Say what is being done inside the block."""
    work = Stage(what)
    _told.begin(work)
    try:
        yield work
    finally:
        _told.end(work)


class _Told:
    """The work that goes on, the innermost last, and who is told of it."""

    def __init__(self) -> None:
        self.listener: Listener | None = None
        self.is_line = True
        self.works: list[tuple[Stage, float]] = []
        self.line = _Line(self)

    def begin(self, work: Stage) -> None:
        if threading.current_thread() is not threading.main_thread():
            return  # parts of a work that the main thread tells of
        self.works.append((work, time.monotonic()))
        if self.listener is not None:
            self.listener(work.what, 0.0)
        elif self.is_line and len(self.works) == 1 and _somebody_looks_on():
            self.line.begin()

    def tell(self, work: Stage) -> None:
        if self.listener is not None and any(work is known for known, _ in self.works):
            self.listener(work.what, work.share)

    def end(self, work: Stage) -> None:
        if not any(work is known for known, _ in self.works):
            return
        self.works = [pair for pair in self.works if pair[0] is not work]
        if self.listener is not None:
            self.listener(work.what, 1.0)
        if not self.works:
            self.line.end()


class _Line:
    """One line on stderr, written again and again by a thread of its own."""

    def __init__(self, told: _Told) -> None:
        self.told = told
        self.width = 0
        self.stopped: threading.Event | None = None
        self.thread: threading.Thread | None = None

    def begin(self) -> None:
        self.stopped = threading.Event()
        self.thread = threading.Thread(target=self._show, args=(self.stopped,), daemon=True)
        self.thread.start()

    def end(self) -> None:
        if self.stopped is not None and self.thread is not None:
            self.stopped.set()
            self.thread.join()
        self.stopped = None

    def _show(self, stopped: threading.Event) -> None:
        wait = SILENT
        while not stopped.wait(wait):
            wait = AGAIN
            works = self.told.works
            if works:
                self._write(_words(*works[-1]))
        if self.width:
            self._write("")
            self.width = 0

    def _write(self, text: str) -> None:
        line = "\r" + text.ljust(self.width)
        with contextlib.suppress(OSError, ValueError):  # nobody reads any more
            sys.stderr.write(line if text else f"{line}\r")
            sys.stderr.flush()
        self.width = max(self.width, len(text))


def _words(work: Stage, since: float) -> str:
    share = "" if work.share is None else f"{work.share:.0%}, "
    return f"plotlib: {work.what} ({share}{time.monotonic() - since:.0f} s)"


def _somebody_looks_on() -> bool:
    """Whether stderr is a terminal, or the output of a notebook's cell."""
    try:
        return sys.stderr.isatty() or type(sys.stderr).__module__.startswith("ipykernel")
    except (AttributeError, ValueError):  # no stderr, or a closed one
        return False


_told = _Told()
