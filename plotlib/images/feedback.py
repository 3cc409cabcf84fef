"""Drawing in rounds: what a drawing's print lacks is asked for on top, and it is drawn again."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from plotlib.drawing import Drawing
from plotlib.images.printing import printed
from plotlib.images.tone import blurred
from plotlib.images.wanted import Wanted
from plotlib.progress import stage

BLUR = 2.0  # mm: what is finer belongs to the strokes themselves
_GAIN = 0.8  # of the difference that is asked for on top


def drawn_in_rounds(
    draw: Callable[[Wanted], Drawing], asked: Wanted, rounds: int, what: str
) -> Drawing:
    """The best of some drawings, each made for the coverage asked and what the one before lacked.

    ``draw`` is given the coverage, cell by cell, and must draw the same for the same; where nothing
    is asked for, nothing is asked for later either.
    """
    cell = (asked.cell_x, asked.cell_y)
    rows, columns = asked.values.shape
    target = blurred(asked.values, cell, BLUR)
    now = asked
    best = None
    least = np.inf
    with stage(what) as work:
        for k in range(rounds + 1):
            drawing = draw(now)
            work.done((k + 1) / (rounds + 1))
            got = blurred(printed(drawing, asked.extent, rows, columns), cell, BLUR)
            lack = target - got
            error = float(np.mean(lack**2))
            if error < least:
                least = error
                best = drawing
            raised = np.clip(now.values + _GAIN * lack, 0.0, 1.0)
            now = asked.replaced(np.where(asked.values > 0, raised, 0.0))
    assert best is not None
    return best
