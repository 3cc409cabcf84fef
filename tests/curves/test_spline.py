import numpy as np
import pytest
import shapely

from plotlib.curves import catmull_rom
from plotlib.errors import InvalidValue


def barry_goldman(p, count):
    """The centripetal spline between p[1] and p[2] by the pyramid of linear interpolations: a
    second definition of the same curve.
    """
    knots = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T) ** 0.5)])
    t = np.linspace(knots[1], knots[2], count)[:, None]
    rows = list(p)
    for spans in [(0, 1), (1, 2), (2, 3)], [(0, 2), (1, 3)], [(1, 2)]:
        shares = [(t - knots[i]) / (knots[j] - knots[i]) for i, j in spans]
        rows = [(1 - share) * rows[k] + share * rows[k + 1] for k, share in enumerate(shares)]
    return rows[0]


def off(points, stroke):
    return shapely.distance(shapely.points(points), shapely.LineString(stroke)).max()


@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_the_spline_equals_its_pyramid_within_the_tolerance(seed, closed):
    rng = np.random.default_rng(seed)
    given = np.cumsum(rng.normal(0, 1, (12, 2)) * rng.choice([0.1, 1, 20], (12, 1)), axis=0)
    stroke = catmull_rom(given, closed=closed, tolerance=0.01)[0]
    if closed:
        guided = np.concatenate([given[-1:], given, given[:2]])
    else:
        guided = np.concatenate([[2 * given[0] - given[1]], given, [2 * given[-1] - given[-2]]])
    exact = np.concatenate([barry_goldman(guided[k : k + 4], 400) for k in range(len(guided) - 3)])
    assert off(exact, stroke) <= 0.01 * (1 + 1e-9)
    assert off(stroke, exact) <= 1e-3
    assert {tuple(point) for point in given.tolist()} <= {tuple(point) for point in stroke.tolist()}


def test_closed_curves_close_and_are_smooth_there():
    drawing = catmull_rom([(0, 0), (10, 0), (10, 10), (0, 10)], closed=True, tolerance=1e-5)
    assert drawing.is_closed.all()
    leave = drawing[0][1] - drawing[0][0]
    arrive = drawing[0][-1] - drawing[0][-2]
    turn = np.arctan2(leave[1], leave[0]) - np.arctan2(arrive[1], arrive[0])
    assert abs(turn) < 0.02


def test_two_points_give_a_straight_line():
    assert catmull_rom([(0, 0), (3, 4)])[0].tolist() == [[0, 0], [3, 4]]


def test_repeats_count_once():
    path = [(0, 0), (0, 0), (5, 5), (5, 5), (9, 0)]
    np.testing.assert_array_equal(catmull_rom(path)[0], catmull_rom([(0, 0), (5, 5), (9, 0)])[0])
    np.testing.assert_array_equal(
        catmull_rom([*path, (0, 0)], closed=True)[0],
        catmull_rom([(0, 0), (5, 5), (9, 0)], closed=True)[0],
    )


@pytest.mark.parametrize(
    ("points", "closed"),
    [
        ([(1, 1), (1, 1)], False),
        ([(0, 0)], False),
        ([(0, 0), (1, 0), (0, 0)], True),
        ([(0, 0), (1, float("nan"))], False),
    ],
)
def test_too_few_different_points_are_refused(points, closed):
    with pytest.raises(InvalidValue):
        catmull_rom(points, closed=closed)
