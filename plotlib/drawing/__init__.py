"""The Drawing: many strokes on pens, one immutable value in millimetres.

``value`` holds the strokes, says what they measure and puts drawings together; ``changes`` holds
the methods that return a drawing moved, scaled or cut, ``redrawing`` those that bend it and dash
it. Begin with ``value``.
"""

from plotlib.drawing.changes import Bounds, RegionLike
from plotlib.drawing.value import Drawing, as_drawing

__all__ = ["Bounds", "Drawing", "RegionLike", "as_drawing"]


def __dir__() -> list[str]:
    return sorted(__all__)
