"""Progress of long work, shown only when asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from plotlib import checks

Progress: TypeAlias = "bool | Callable[[float], object] | None"


def reporter(progress: Progress, what: str) -> Callable[[float], None]:
    """What to call with the share done, 0 … 1: nothing, a bar (``True``; it needs tqdm), or the
    function that was given.
    """
    if progress is None or progress is False:
        return lambda share: None
    if progress is not True:
        return _teller(progress)
    bar = checks.package("tqdm", extra="progress", use="a progress bar").tqdm(
        total=100, desc=what, unit="%"
    )

    def show(share: float) -> None:
        bar.update(min(100, int(100 * share)) - bar.n)
        if share >= 1.0:
            bar.close()

    return show


def _teller(given: Callable[[float], object]) -> Callable[[float], None]:
    def tell(share: float) -> None:
        given(share)

    return tell
