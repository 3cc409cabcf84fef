"""The Plot: ordered strokes on the machine's grid, and what drawing them costs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from plotlib.checks import IntArray
from plotlib.drawing import Drawing
from plotlib.machine import Machine
from plotlib.sheet import Sheet


@dataclass(frozen=True)
class Plot:
    """A drawing planned for one machine; made by ``plan``.

    Attributes
    ----------
    drawing : Drawing
        The strokes in drawing order, in bed mm, every point on the machine's grid; pens one after another.
    machine : Machine
        The machine it is planned for.
    sheet : Sheet or None
        The paper on the bed.
    metric : {"time", "distance"}
        What the order was made for, and so the unit of ``cost``, ``bound`` and ``gap``: seconds or mm.
    travel : float
        Pen-up way in mm, from home to the end at the park point.
    linked : float
        Ink in mm that joining added.
    cost : float
        What the pen-up moves cost, in the unit of ``metric``.
    warnings : tuple of str
        What the user should know, such as accelerations that were not declared.
    """

    drawing: Drawing
    machine: Machine
    sheet: Sheet | None
    metric: str
    travel: float
    linked: float
    cost: float
    warnings: tuple[str, ...] = ()

    @property
    def lifts(self) -> int:
        """How often the pen goes up after a stroke."""
        return len(self.drawing)

    @cached_property
    def units(self) -> IntArray:
        """The points (N, 2) in whole units of the machine's last decimal, bed coordinates."""
        units: IntArray = self.machine.to_units(self.drawing.points)
        units.flags.writeable = False
        return units
