"""Tidying: drawings from elsewhere, made fit for a pen.

Each function takes a drawing and returns another one: `once` draws overlapping ink once, `joined`
puts strokes together whose ends meet, `without_specks` leaves out what is too short to be worth a
lift. Begin with ``once``.
"""

from plotlib.tidying.joined import joined
from plotlib.tidying.once import once
from plotlib.tidying.specks import without_specks

__all__ = ["joined", "once", "without_specks"]


def __dir__() -> list[str]:
    return sorted(__all__)
