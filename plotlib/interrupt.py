"""Long work that Ctrl-C ends at once.

Python hears Ctrl-C between two of its own steps, so not while a compiled kernel runs, and where a
kernel hands back its result an interrupt can surface as a SystemError. The main thread therefore
waits, and another one works; kernels let it run (they hold no lock of Python's).
"""

from __future__ import annotations

import contextvars
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import Future
from typing import TypeVar

T = TypeVar("T")
J = TypeVar("J")
GoOn = Callable[[], bool]
LOOK = 0.2  # seconds between two looks of the main thread


def interruptible(work: Callable[[GoOn], T]) -> T:
    """The result of ``work``, done beside the main thread, which hears Ctrl-C meanwhile.

    ``work`` is given a function that tells whether to go on, and asks it now and then: after an
    interrupt its result is wanted no more. In any other thread than the main one, which hears no
    Ctrl-C, the work is done there.
    """
    if threading.current_thread() is not threading.main_thread():
        return work(lambda: True)
    stopped = threading.Event()
    try:
        return _awaited(_started(lambda: work(lambda: not stopped.is_set())))
    finally:
        stopped.set()


def side_by_side(work: Callable[[J], T], jobs: Iterable[J], *, threads: int) -> list[T]:
    """The results of ``work`` for all jobs in their order, so many at a time; nothing waits for
    them where the program ends before.
    """
    listed = list(jobs)
    left = iter(range(len(listed)))
    found: dict[int, T] = {}
    lock = threading.Lock()

    def run() -> None:
        while True:
            with lock:
                number = next(left, None)
            if number is None:
                return
            found[number] = work(listed[number])

    for running in [_started(run) for _ in range(threads)]:
        _awaited(running)
    return [found[number] for number in range(len(listed))]


def _started(work: Callable[[], T]) -> Future[T]:
    """The work, begun in a thread of its own, in the context of the caller."""
    done: Future[T] = Future()
    context = contextvars.copy_context()

    def run() -> None:
        try:
            done.set_result(context.run(work))
        except BaseException as error:  # raised again where the result is asked for
            done.set_exception(error)

    threading.Thread(target=run, daemon=True).start()
    return done


def _awaited(done: Future[T]) -> T:
    finished = threading.Event()
    done.add_done_callback(lambda _: finished.set())
    while not finished.wait(LOOK):
        pass  # a wait without an end is deaf to Ctrl-C on some systems
    return done.result()
