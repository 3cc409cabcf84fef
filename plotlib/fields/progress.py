"""Progress of one piece of long work: shown the way a caller asks for, else as any other stage."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from typing import TypeAlias

from plotlib import checks
from plotlib.errors import InvalidValue
from plotlib.progress import stage

Progress: TypeAlias = "bool | Callable[[float], object] | None"


@contextlib.contextmanager
def telling(progress: Progress, what: str) -> Iterator[Callable[[float], None]]:
    """What to call with the share done inside the block; None tells :mod:`plotlib.progress`."""
    if progress is not None:
        yield _reporter(progress, what)
        return
    with stage(f"drawing {what}") as work:
        yield work.done


def _reporter(progress: bool | Callable[[float], object], what: str) -> Callable[[float], None]:
    """What to call with the share done, 0 … 1: nothing, a bar (``True``; it needs tqdm), or the
    function that was given.
    """
    if progress is False:
        return lambda share: None
    if progress is not True:
        return _teller(progress, what)
    bar = checks.package("tqdm", install="tqdm", use="a progress bar").tqdm(
        total=100, desc=what, unit="%"
    )

    def show(share: float) -> None:
        bar.update(min(100, int(100 * share)) - bar.n)
        if share >= 1.0:
            bar.close()

    return show


def _teller(given: Callable[[float], object], what: str) -> Callable[[float], None]:
    """``given``, told once that nothing is done yet, so that what cannot be told is refused before
    the work.
    """
    wanted = f"progress of {what} must be True, False or a function of the share done, 0 … 1"
    if not callable(given):
        raise InvalidValue(f"{wanted}, got {given!r:.200}", name="progress", value=given)
    try:
        given(0.0)
    except TypeError as error:
        raise InvalidValue(f"{wanted}; TypeError: {error}", name="progress") from error

    def tell(share: float) -> None:
        given(share)

    return tell
