from __future__ import annotations

from itertools import groupby

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.tidying import joined

BLUE = Pen("blue")


def test_strokes_of_one_pen_whose_ends_meet_become_one() -> None:
    drawing = Drawing([[(0, 0), (5, 0)], [(9, 9)], [(5, 5), (5, 0)]])
    whole = joined(drawing)
    assert [stroke.tolist() for stroke in whole] == [[[0, 0], [5, 0], [5, 5]], [[9, 9]]]
    split = joined(drawing[:1] + drawing[2:].inked(BLUE))
    assert len(split) == 2


def test_the_order_of_pens_stays() -> None:
    a = Drawing([[(0, 0), (1, 0)]])
    b = Drawing([[(0, 5), (1, 5)]], pen=BLUE)
    mixed = a + b + a.moved(1, 0) + b.moved(3, 0)
    found = joined(mixed)
    assert found.pen_index.tolist() == [0, 1, 1]
    assert found.lengths.tolist() == [2, 1, 1]


def test_links_are_no_longer_than_the_tolerance() -> None:
    dashes = Drawing([[(k, 0), (k + 0.9, 0)] for k in range(10)])
    assert len(joined(dashes, 0.05)) == 10
    assert len(joined(dashes, 0.1 + 1e-6)) == 1
    assert joined(dashes, 0.11).length == pytest.approx(9.9, abs=1e-9)
    with pytest.raises(InvalidValue):
        joined(dashes, -1)


steps = st.tuples(st.integers(0, 6), st.integers(0, 6))
strokes = st.lists(
    st.lists(steps, min_size=1, max_size=4).map(lambda stroke: [p for p, _ in groupby(stroke)]),
    min_size=1,
    max_size=8,
)


@settings(deadline=None, max_examples=25)
@given(strokes)
def test_the_ink_stays(given: list[list[tuple[float, float]]]) -> None:
    drawing = Drawing(given)
    whole = joined(drawing)
    assert len(whole) <= len(drawing)
    assert whole.length == pytest.approx(drawing.length, abs=1e-9)
    ink = shapely.union_all(drawing.to_shapely())
    assert shapely.distance(shapely.points(whole.points), ink).max() == 0
    fresh = {tuple(point) for point in whole.points.tolist()}
    assert fresh == {tuple(point) for point in drawing.points.astype(np.float64).tolist()}
