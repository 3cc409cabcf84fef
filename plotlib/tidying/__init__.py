"""Tidying: drawings from elsewhere, made fit for a pen.

Functions that take a drawing and return another one: `once` draws overlapping ink once, `joined`
puts strokes together whose ends meet, `without_specks` leaves out what is too short to be worth a
lift. `arcs` tells which runs of points lie on arcs of circles. Begin with ``once``.
"""

from plotlib.tidying.arcs import Arc, arcs
from plotlib.tidying.joined import joined
from plotlib.tidying.once import once
from plotlib.tidying.specks import without_specks

__all__ = ["Arc", "arcs", "joined", "once", "without_specks"]


def __dir__() -> list[str]:
    return sorted(__all__)
