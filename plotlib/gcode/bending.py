"""Arcs in the words of a program: G2 and G3, their end in X and Y, their centre in I and J, which
count from where the arc begins (RS274NGC, NISTIR 6556, section 3.5.3.2; ISO 6983-1 has the same
words; both from memory).
"""

from __future__ import annotations

from typing import NamedTuple

from plotlib.gcode.numbers import fixed, to_controller
from plotlib.planning.plot import Plot


class ArcLine(NamedTuple):
    """An arc as it is said.

    Attributes
    ----------
    first, last : int
        The rows of the plot's points where it begins and ends.
    motion : str
        ``"G2"`` for a turn to the right as the controller sees it, or ``"G3"``.
    words : str
        All four of X, Y, I and J, also where one changes nothing: controllers differ in what they
        take for granted (common practice, no source).
    """

    first: int
    last: int
    motion: str
    words: str


def arc_lines(plot: Plot) -> list[ArcLine]:
    """The arcs of a plot in their order."""
    machine = plot.machine
    arcs = plot.arcs
    if not len(arcs):
        return []
    start = to_controller(plot.units[arcs.first], machine)
    end = to_controller(plot.units[arcs.last], machine)
    way = to_controller(arcs.centre, machine) - start
    columns = [
        fixed(letter, numbers, machine.decimals)
        for letter, numbers in zip("XYIJ", (*end.T, *way.T), strict=True)
    ]
    said = map(" ".join, zip(*columns, strict=True))
    mirrored = machine.x.reversed != machine.y.reversed
    left, right = ("G2", "G3") if mirrored else ("G3", "G2")
    turns = [left if side > 0 else right for side in arcs.side.tolist()]
    rows = (arcs.first.tolist(), arcs.last.tolist())
    return [ArcLine(*columns) for columns in zip(*rows, turns, said, strict=True)]
