import numpy as np

from plotlib import Drawing
from plotlib.fields.taper import shortened, tapered

STROKES = Drawing(
    [[(0, 0), (4, 0), (4, 3)], [(0, 0), (10, 0)], [(0, 0), (5, 0), (5, 5), (0, 0)], [(1, 1)]]
)


def test_shortened_by_length_along_the_stroke():
    points, offsets = shortened(
        STROKES.points, STROKES.offsets, np.array([5.0, 1, 0, 0]), np.array([1.0, 8, 0, 0])
    )
    assert [part.tolist() for part in np.split(points, offsets[1:-1])] == [
        [[4, 1], [4, 2]],
        [[1, 0], [2, 0]],
        STROKES[2].tolist(),
        [[1, 1]],
    ]


def test_both_ends_in_one_segment_and_on_points():
    points, offsets = shortened(
        STROKES.points, STROKES.offsets, np.array([4.0, 2, 0, 0]), np.array([0.0, 0, 0, 0])
    )
    assert points[: offsets[1]].tolist() == [[4, 0], [4, 3]]
    assert points[offsets[1] : offsets[2]].tolist() == [[2, 0], [10, 0]]


def test_closed_strokes_and_dots_stay_and_short_ones_keep_a_third():
    points, offsets = tapered(STROKES.points, STROKES.offsets, 100.0, np.random.default_rng(0))
    made = Drawing.from_arrays(points, offsets)
    np.testing.assert_array_equal(made[2], STROKES[2])
    np.testing.assert_array_equal(made[3], STROKES[3])
    assert (made.lengths[:2] >= STROKES.lengths[:2] / 3 - 1e-12).all()
    assert (made.lengths[:2] < STROKES.lengths[:2]).all()
