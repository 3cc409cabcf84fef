from __future__ import annotations

import numpy as np
import pytest
import shapely

from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.shapes import registration_marks
from plotlib.sheet import Sheet

PENS = (Pen("light", colour="gold"), Pen("dark"))


def test_every_pen_draws_the_same_marks() -> None:
    marks = registration_marks(Sheet(100, 80, margin=5), pens=PENS, size=8)
    assert marks.bounds == (5, 5, 95, 75)
    assert marks.pens == PENS
    light, dark = marks.by_pen().values()
    assert np.array_equal(light.points, dark.points)
    # by hand: the middles lie half a size inside the corners
    middles = {tuple(stroke.mean(axis=0)) for stroke in light if len(stroke) == 2}
    assert middles == {(9, 9), (9, 71), (91, 9), (91, 71)}


def test_marks_need_room_and_pens() -> None:
    with pytest.raises(InvalidValue, match="do not fit"):
        registration_marks(shapely.box(0, 0, 11, 50), size=6)
    for wrong in ("blue", [None, PENS[0]], [1], 3):
        with pytest.raises(InvalidValue):
            registration_marks(shapely.box(0, 0, 50, 50), pens=wrong)  # type: ignore[arg-type]
    assert len(registration_marks(shapely.box(0, 0, 50, 50))) == 12
