import numpy as np
import pytest
from shapely import box

from plotlib import Drawing, fields
from plotlib.errors import InvalidValue
from tests.oracles_fields import nearest_lines


def test_parallel_lines():
    rows = Drawing([[(0, y), (50, y)] for y in (0, 2, 4, 6.8, 10)])
    found = fields.evenness(rows, box(0, 0, 50, 10), spacing=1)
    assert found.lines == 5
    assert found.mean == found.shortest == pytest.approx(50)
    assert found.nearest == pytest.approx(2)
    assert found.covered == pytest.approx((5 + 2 + 1) / 10, abs=0.01)
    assert found.widest == pytest.approx(1.6, abs=0.01)


def test_nearest_is_what_shapely_finds():
    lines = fields.streamlines(
        fields.perlin(scale=20, seed=1).gradient(), box(0, 0, 30, 30), spacing=1
    )
    assert fields.evenness(lines, box(0, 0, 30, 30), spacing=1).nearest == pytest.approx(
        nearest_lines(lines), abs=5e-3
    )


def test_lengths_in_local_spacings():
    apart = fields.from_function(lambda x, y: np.where(y < 5, 1.0, 2.0))
    rows = Drawing([[(0, 2), (40, 2)], [(0, 5.5), (40, 5.5)]])
    found = fields.evenness(rows, box(0, 0, 40, 10), spacing=apart)
    assert (found.mean, found.shortest) == (30, 20)
    assert found.nearest == 1.75  # 3.5 mm, of the wider spacing


def test_needs_something():
    with pytest.raises(InvalidValue, match="at least one line"):
        fields.evenness(Drawing(), box(0, 0, 1, 1), spacing=1)
