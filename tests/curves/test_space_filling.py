import numpy as np
import pytest
import shapely

from plotlib.curves import gosper, hilbert, peano
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


@pytest.mark.parametrize(("make", "base"), [(hilbert, 2), (peano, 3)])
@pytest.mark.parametrize("depth", [1, 2, 4])
def test_squares_are_visited_cell_by_cell(make, base, depth):
    drawing = make((0.1, 0.7), 81.3, depth=depth)
    cells = base**depth
    assert drawing.bounds == (0.1, 0.7, 0.1 + 81.3, 0.7 + 81.3)
    grid = np.round((drawing[0] - (0.1, 0.7)) / 81.3 * (cells - 1)).astype(int)
    assert len(np.unique(grid, axis=0)) == len(grid) == cells**2
    assert (np.abs(np.diff(grid, axis=0)).sum(axis=1) == 1).all()
    np.testing.assert_allclose(grid * (81.3 / (cells - 1)) + (0.1, 0.7), drawing[0], atol=1e-12)


def test_gosper_goes_from_start_to_end_and_never_crosses_itself():
    drawing = gosper((3, 4), (40, -20), depth=3, pen=Pen("ink"))
    assert drawing[0][[0, -1]].tolist() == [[3, 4], [40, -20]]
    assert shapely.LineString(drawing[0]).is_simple
    np.testing.assert_allclose(
        np.hypot(*np.diff(drawing[0], axis=0).T), np.hypot(37, 24) / 7**1.5, rtol=1e-9
    )
    assert drawing.pens[0].name == "ink"


def test_depth_0_of_gosper_is_the_line():
    assert gosper((0, 0), (7, 0), depth=0)[0].tolist() == [[0, 0], [7, 0]]


@pytest.mark.parametrize(
    ("make", "arguments", "depth", "message"),
    [
        (hilbert, ((0, 0), 10), 0, "depth"),
        (hilbert, ((0, 0), 10), 11, "depth"),
        (hilbert, ((0, 0), 0), 3, "size"),
        (peano, ((0, 0), 10), 7, "depth"),
        (gosper, ((0, 0), (1, 1)), 8, "depth"),
        (gosper, ((1, 1), (1, 1)), 2, "different"),
    ],
)
def test_wrong_values_are_refused(make, arguments, depth, message):
    with pytest.raises(InvalidValue, match=message):
        make(*arguments, depth=depth)


def test_the_greatest_depths_fit():
    assert len(hilbert((0, 0), 1000, depth=10)[0]) == 4**10
    assert len(peano((0, 0), 1000, depth=6)[0]) == 9**6
    assert len(gosper((0, 0), (1000, 0), depth=7)[0]) == 7**7 + 1
