"""What long work tells while it works: which work it is, and how far.

Work that may take long runs inside :func:`stage`. Whoever listens is told; by default that is one
line on stderr, with a bar and the time left where the share done is known (tqdm draws it, where it
is installed). It is shown after two silent seconds and taken away at the end, and only where
somebody looks on: at a terminal or in a notebook, not in a log or under a test.

One setting switches it for all work, :func:`listen`; one argument, ``progress``, for one call:
:func:`asked` is what functions do with it.
"""

from __future__ import annotations

import contextlib
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeAlias

from plotlib.errors import InvalidValue

SILENT = 2.0  # seconds of work before the line is shown
AGAIN = 0.5  # seconds between two looks at it
_BAR = "{desc}: {percentage:.0f}% |{bar:20}| {elapsed}, {remaining} left"

Listener: TypeAlias = "Callable[[str, float | None], object]"
Progress: TypeAlias = "bool | Callable[[float], object] | None"


@dataclass
class Stage:
    """A piece of work that goes on.

    Attributes
    ----------
    what : str
        The work, as in "looking for a short order".
    share : float or None
        How much of it is done, 0 to 1; None where nobody knows.
    teller : function or None
        Who alone is told of the share, if a caller asked for that.
    """

    what: str
    share: float | None = None
    teller: Callable[[float], object] | None = None

    def done(self, share: float) -> None:
        """Tell how much is done, 0 to 1."""
        self.share = share
        if self.teller is not None:
            self.teller(share)
        else:
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


@contextlib.contextmanager
def asked(what: str, progress: Progress) -> Iterator[Stage]:
    """Say what is being done inside the block in the way that a caller asks for: ``progress`` of
    None is :func:`stage`, True shows the line at once and wherever stderr leads, False shows
    nothing, and a function is told the share done, 0 … 1.
    """
    if progress is None:
        with stage(what) as work:
            yield work
    elif progress is True:
        with _told.shown(), stage(what) as work:
            yield work
    else:
        work = Stage(what, teller=_teller(progress, what))
        with _told.silent():
            yield work
        if progress is not False:
            work.done(1.0)


def _teller(progress: object, what: str) -> Callable[[float], object]:
    """The function that was given, told once that nothing is done yet, so that what cannot be told
    is refused before the work; for False one that does nothing.
    """
    if progress is False:
        return lambda share: None
    wanted = f"progress of {what} must be True, False or a function of the share done, 0 … 1"
    if not callable(progress):
        raise InvalidValue(f"{wanted}, got {progress!r:.200}", name="progress", value=progress)
    try:
        progress(0.0)
    except TypeError as error:
        raise InvalidValue(f"{wanted}; TypeError: {error}", name="progress") from error
    return progress


class _Told:
    """The work that goes on, the innermost last, and who is told of it."""

    def __init__(self) -> None:
        self.listener: Listener | None = None
        self.is_line = True
        self.works: list[tuple[Stage, float]] = []
        self.line = _Line(self)
        self.is_silent = False
        self.is_shown = False

    @contextlib.contextmanager
    def silent(self) -> Iterator[None]:
        """Nothing that begins inside the block is told."""
        before = self.is_silent
        self.is_silent = True
        try:
            yield
        finally:
            self.is_silent = before

    @contextlib.contextmanager
    def shown(self) -> Iterator[None]:
        """What begins inside the block is shown at once, whoever looks on."""
        before = self.is_shown
        self.is_shown = True
        try:
            yield
        finally:
            self.is_shown = before

    def begin(self, work: Stage) -> None:
        if self.is_silent or threading.current_thread() is not threading.main_thread():
            return  # parts of a work that the main thread tells of
        self.works.append((work, time.monotonic()))
        if self.is_shown:
            self.line.show_now()
        elif self.listener is not None:
            self.listener(work.what, 0.0)
        elif self.is_line and len(self.works) == 1 and _somebody_looks_on():
            self.line.begin()

    def tell(self, work: Stage) -> None:
        if (
            self.listener is not None
            and not self.is_shown
            and any(work is known for known, _ in self.works)
        ):
            self.listener(work.what, work.share)

    def end(self, work: Stage) -> None:
        if not any(work is known for known, _ in self.works):
            return
        self.works = [pair for pair in self.works if pair[0] is not work]
        if self.listener is not None and not self.is_shown:
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

    def show_now(self) -> None:
        """Begin, if it has not, without the silence before it."""
        self._write(_words(*self.told.works[-1]))
        if self.stopped is None:
            self.begin()

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
        wait = AGAIN if self.width else SILENT
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
    elapsed = time.monotonic() - since
    if work.share is None:
        return f"plotlib: {work.what} ({elapsed:.0f} s)"
    meter = _meter()
    if meter is None or work.share <= 0.0:
        return f"plotlib: {work.what} ({work.share:.0%}, {elapsed:.0f} s)"
    prefix = f"plotlib: {work.what}"
    return str(meter(work.share, 1.0, elapsed, prefix=prefix, bar_format=_BAR, ascii=True))


@cache
def _meter() -> Callable[..., Any] | None:
    """What draws the bar and foretells the time left; None where tqdm is not installed."""
    try:
        from tqdm import tqdm
    except ImportError:
        return None
    meter: Callable[..., Any] = tqdm.format_meter
    return meter


def _somebody_looks_on() -> bool:
    """Whether stderr is a terminal, or the output of a notebook's cell."""
    try:
        return sys.stderr.isatty() or type(sys.stderr).__module__.startswith("ipykernel")
    except (AttributeError, ValueError):  # no stderr, or a closed one
        return False


_told = _Told()
