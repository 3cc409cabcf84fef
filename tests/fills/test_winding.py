"""Space-filling curves: where they lie does not hang on a last bit."""

from __future__ import annotations

import pytest
import shapely
from shapely import affinity

from plotlib import fills


@pytest.mark.parametrize("turn", [0.0, 1.0, 3.0, 41.5])
@pytest.mark.parametrize("far", [-1e-13, 0.0, 1e-13])
def test_an_edge_on_the_lattice_is_the_same_to_the_last_bit_and_beyond(
    turn: float, far: float
) -> None:
    """The right corner lies ten spacings from the origin: with one column more the curve would be
    of the next order, whose squares are taken in another order.
    """
    area = shapely.Polygon([(9.0, 5.0), (5.9, 7.9), (2.6, 6.8), (2.6, 3.2), (5.9, 2.1)])
    drawn = fills.space_filling(area, spacing=0.9)
    placed = affinity.translate(affinity.rotate(area, turn, origin=(0, 0)), far, 0.0)
    there = fills.space_filling(placed, spacing=0.9, angle=turn)
    lines = shapely.GeometryCollection(drawn.turned(turn).to_shapely())
    assert there.length == pytest.approx(drawn.length, abs=1e-6)
    assert shapely.distance(shapely.points(there.points), lines).max() < 1e-6
