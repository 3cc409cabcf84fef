"""What ``print(plot)`` says: the work, the pens in the order in which they are put in, the
place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from plotlib.checks import FloatArray, counted
from plotlib.planning.clock import clock

if TYPE_CHECKING:
    from plotlib.planning.plot import Plot

# Share of closed strokes from which the bound is weak: isolines with a third of them closed have
# gaps of 12 % in mm, open strokes 1 to 2 % (tests/benchmarks/bound.py).
_MANY_CLOSED = 0.2


def summary(plot: Plot) -> str:
    """The plot in a few lines: ink, travel, lifts, time, size and place, pens, cost, warnings."""
    if not len(plot.drawing):
        return f"plot for {plot.machine.name}: nothing to draw"
    lines = [_head(plot), *_work(plot), _place(plot), *_pens(plot), _quality(plot)]
    if plot.joining_ink:
        lines.append(f"  joining added {plot.joining_ink:.3f} mm of ink")
    return "\n".join([*lines, *(f"  note: {warning}" for warning in plot.warnings)])


def way(length: float) -> str:
    """A length in mm, in m from one metre on.

    Examples
    --------
    >>> way(431.96), way(6466.5)
    ('432.0 mm', '6.47 m')
    """
    return f"{length / 1000:,.2f} m" if length >= 1000 else f"{length:.1f} mm"


def ink_of_pens(plot: Plot) -> FloatArray:
    """Millimetres of ink of each pen (P,), in drawing order."""
    drawing = plot.drawing
    steps = np.hypot(*np.diff(drawing.points, axis=0).T)
    steps[drawing.offsets[1:-1] - 1] = 0.0  # from one stroke to the next
    pen = np.repeat(drawing.pen_index, np.diff(drawing.offsets))[1:]
    return np.bincount(pen, weights=steps, minlength=len(drawing.pens)).astype(np.float64)


def _head(plot: Plot) -> str:
    pens = counted(len(plot.drawing.pens), "pen")
    head = f"plot for {plot.machine.name}: {counted(plot.lifts, 'stroke')} of {pens}"
    if plot.lifts == plot.given:
        return head
    return f"{head}, joined from {plot.given:,} (fewest possible: {plot.least:,})"


def _work(plot: Plot) -> list[str]:
    times = plot.times
    total = clock(times.duration)
    if plot.changes:
        total += f", and {counted(plot.changes, 'pen change')}"
    return [
        f"  ink     {way(plot.drawing.length):>12}   {clock(times.drawing)}",
        f"  travel  {way(plot.travel):>12}   {clock(times.travel)}",
        f"  lifts   {plot.lifts:>12,}   {clock(times.lifting)}",
        f"  time    {total}",
    ]


def _place(plot: Plot) -> str:
    """Where the ink lies; in mm of the sheet too, where there is one."""
    bounds = plot.drawing.bounds
    assert bounds is not None
    left, bottom, right, top = bounds
    size = f"{right - left:.1f} x {top - bottom:.1f} mm"
    line = f"  place   {size}, on the bed from {_corner(left, bottom)} to {_corner(right, top)}"
    if plot.sheet is None:
        return line
    x, y = plot.sheet.at
    turned = f", turned by {plot.sheet.angle:g} degrees" if plot.sheet.angle else ""
    return f"{line}; the sheet's lower left corner at {_corner(x, y)}{turned}"


def _corner(x: float, y: float) -> str:
    return f"({x:.1f}, {y:.1f})"


def _pens(plot: Plot) -> list[str]:
    """Which pen to put in when; the file stops before each but the first."""
    inks = ink_of_pens(plot)
    strokes = np.bincount(plot.drawing.pen_index, minlength=len(inks))
    lines = []
    for number, pen in enumerate(plot.drawing.pens):
        when = f"at stop {number}" if number else "before the start"
        what = f"{way(float(inks[number]))} in {counted(int(strokes[number]), 'stroke')}"
        lines.append(f"  pen {number + 1}   {pen.name}, {pen.width:g} mm: {what}; put in {when}")
    return lines


def _quality(plot: Plot) -> str:
    unit = "s" if plot.metric == "time" else "mm"
    cost = f"  pen-up moves cost {plot.cost:,.1f} {unit}"
    if "bound" not in vars(plot):
        return f"{cost}; plot.bound tells what no order can be below"
    known = f"{cost}; no order can be below {plot.bound:,.1f} {unit} (gap {plot.gap:.1%})"
    if plot.closed_share < _MANY_CLOSED:
        return known
    return f"{known}\n{_weakness(plot, unit)}"


def _weakness(plot: Plot, unit: str) -> str:
    """Why the gap says little, and what is known for the start vertices of this plot."""
    line = f"  {plot.closed_share:.0%} of the strokes are closed, where this bound is weak"
    if "bound_as_started" not in vars(plot):
        return f"{line}; plot.bound_as_started tells more"
    bound = plot.bound_as_started
    gap = (plot.cost - bound) / bound if bound > 0 else 0.0
    return f"{line}; with starts as chosen no order is below {bound:,.1f} {unit} (gap {gap:.1%})"
