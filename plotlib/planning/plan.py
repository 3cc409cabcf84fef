"""plan: a drawing and a machine become a Plot."""

from __future__ import annotations

from plotlib.drawing import Drawing
from plotlib.machine import Machine
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet


def plan(drawing: Drawing, machine: Machine, *, sheet: Sheet | None = None) -> Plot:
    raise NotImplementedError
