"""Facts of any drawing, held against those of a general geometry library."""

from __future__ import annotations

import shapely
from hypothesis import HealthCheck, given, settings

from plotlib import Drawing
from plotlib.testing import drawings
from tests.outside import LIBRARY, Within, published


def of_shapely(drawing: Drawing) -> list[shapely.Geometry]:
    """Its strokes as shapely has them, made from bare points; dots have no length there either."""
    strokes = [stroke.tolist() for stroke in drawing]
    return [
        shapely.LineString(stroke) if len(stroke) > 1 else shapely.Point(stroke[0])
        for stroke in strokes
    ]


@published(
    module="drawing",
    source="length of the strokes as line strings",
    kind=LIBRARY,
    against="shapely",
    rel=1e-12,
    abs=1e-12,
    claim="length of a drawing and of each stroke",
)
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawing=drawings())
def test_lengths_are_those_of_shapely(within: Within, drawing: Drawing) -> None:
    others = of_shapely(drawing)
    assert drawing.lengths == within.of(shapely.length(others))
    assert drawing.length == within.of(sum(shape.length for shape in others))


@published(
    module="drawing",
    source="bounds of the strokes",
    kind=LIBRARY,
    against="shapely",
    claim="bounds of a drawing",
)
@settings(max_examples=60)
@given(drawing=drawings())
def test_bounds_are_those_of_shapely(drawing: Drawing) -> None:
    others = of_shapely(drawing)
    wanted = tuple(shapely.total_bounds(others).tolist()) if others else None
    assert drawing.bounds == wanted
