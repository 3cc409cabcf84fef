"""Variants of a design: what is varied, and each of them worked out, side by side."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import sys
import warnings
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from itertools import product
from typing import Any, TypeAlias

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.progress import Progress, asked

Design: TypeAlias = Callable[..., Drawing]
Made: TypeAlias = "Drawing | str"  # a drawing, or what went wrong


def combined(options: dict[str, Any]) -> list[dict[str, Any]]:
    """Every combination of the values of options that are lists or ranges; other options stay.

    Examples
    --------
    >>> combined({"spacing": [1, 2], "seed": range(2), "face": "roman"})[1:3]
    [{'spacing': 1, 'seed': 1, 'face': 'roman'}, {'spacing': 2, 'seed': 0, 'face': 'roman'}]
    """
    columns = []
    for name, value in options.items():
        is_varied = isinstance(value, (list, range))
        if is_varied and not len(value):
            raise InvalidValue(f"{name} has no values to choose from", name=name, value=value)
        columns.append(value if is_varied else [value])
    return [dict(zip(options, values, strict=True)) for values in product(*columns)]


def made_by(make: Design, options: dict[str, Any]) -> Made:
    """The drawing that a design makes of these values, or the text of its error."""
    try:
        drawing: object = make(**options)
    except (Exception, SystemExit) as error:  # whatever it is: it is shown in the drawing's place
        return f"{type(error).__name__}: {error}"
    if not isinstance(drawing, Drawing):
        return f"the design gave no Drawing but {_a(type(drawing).__name__)}"
    return drawing if len(drawing) else "an empty drawing"


def _a(name: str) -> str:
    return "None" if name == "NoneType" else f"a value of type {name}"


def all_made(
    make: Design,
    variants: Sequence[dict[str, Any]],
    *,
    workers: int | None,
    progress: Progress,
) -> list[Made]:
    """What each variant gives, in their order, worked out by so many processes."""
    count = min(workers or cores(), len(variants))
    what = f"making {len(variants)} variants"
    if count < 2 or not _can_be_sent(make):
        made = []
        with asked(what, progress) as work:
            for number, options in enumerate(variants):
                work.done(number / len(variants))
                made.append(made_by(make, options))
        return made
    return _by_processes(make, variants, count, what, progress)


def _by_processes(
    make: Design, variants: Sequence[dict[str, Any]], count: int, what: str, progress: Progress
) -> list[Made]:
    """What comes from the workers, in the order of the variants.

    A worker that dies takes all others with it: what they left is then tried one by one, each in a
    process of its own, so that only the one that is to blame is missing.
    """
    found: dict[int, Made] = {}
    waiting = dict(enumerate(variants))
    with _pool(make, count) as pool:
        # Workers start with the first of these, before a line of progress has a thread of its own.
        jobs = _submitted(pool, waiting)
        with asked(what, progress) as work:
            for job in as_completed(jobs):
                _take(job, jobs[job], found)
                work.done(len(found) / len(variants))
            for place in sorted(set(waiting) - set(found)):
                with _pool(make, 1) as alone:
                    (job,) = _submitted(alone, {place: waiting[place]})
                    _take(job, place, found)
                found.setdefault(place, _DIED)
                work.done(len(found) / len(variants))
    return [found[place] for place in range(len(variants))]


_DIED = "the process that worked on it ended: too little memory, or a crash"


def _submitted(
    pool: ProcessPoolExecutor, waiting: dict[int, dict[str, Any]]
) -> dict[Future[Made], int]:
    jobs: dict[Future[Made], int] = {}
    with suppress(BrokenProcessPool):  # a worker may die before the last job is handed in
        for place, options in waiting.items():
            jobs[pool.submit(_work, options)] = place
    return jobs


def _take(job: Future[Made], place: int, found: dict[int, Made]) -> None:
    """What a job gave; nothing where its worker died."""
    try:
        found[place] = job.result()
    except BrokenProcessPool:
        return
    except Exception as error:  # the drawing or a value could not be sent
        found[place] = f"{type(error).__name__}: {error}"


def cores() -> int:
    """How many processor cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


_FORKS = sys.platform == "linux"  # elsewhere a fork is missing, or unsafe (macOS)


def _can_be_sent(make: Design) -> bool:
    """Whether another process can have the function: always by a fork, else if it stands in a
    module that can be imported there.
    """
    if _FORKS:
        return True
    main = sys.modules.get("__main__")
    if getattr(make, "__module__", "__main__") == "__main__" and not hasattr(main, "__file__"):
        return False  # of a notebook
    try:
        pickle.dumps(make)
    except Exception:  # pickle raises many kinds for a lambda or a closure
        return False
    return True


@contextmanager
def _pool(make: Design, count: int) -> Iterator[ProcessPoolExecutor]:
    """Worker processes that know the design; ended at once where the caller is interrupted."""
    context = multiprocessing.get_context("fork" if _FORKS else "spawn")
    before = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(count, context, initializer=_remember, initargs=(make,))
    try:
        with warnings.catch_warnings():
            # Python warns of a fork where threads run, which may hold locks that the child then
            # waits for. A child runs the design and nothing of what those threads do.
            warnings.filterwarnings("ignore", "This process .* is multi-threaded")
            yield pool
    except BaseException:
        for worker in set(multiprocessing.active_children()) - before:
            worker.terminate()
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    pool.shutdown()


_design: list[Design] = []  # of this process, where it is a worker


def _remember(make: Design) -> None:
    from plotlib.progress import listen

    listen(None)  # the parent tells of the work
    _design[:] = [make]


def _work(options: dict[str, Any]) -> Made:
    return made_by(_design[0], options)
