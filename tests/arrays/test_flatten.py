import math

import numpy as np
import pytest
import shapely

from plotlib.arrays import flatten
from plotlib.errors import InvalidValue


def bernstein(control, t):
    weights = np.column_stack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    return weights @ control


def off(points, polyline):
    """Greatest distance of points from a polyline; one of equal points counts as a dot."""
    line = (
        shapely.LineString(polyline)
        if np.ptp(polyline, axis=0).any()
        else shapely.Point(polyline[0])
    )
    return shapely.distance(shapely.points(points), line).max()


def polylines(controls, tolerance):
    points, counts = flatten.cubics(controls, tolerance)
    return [
        np.concatenate([first, part])
        for first, part in zip(
            controls[:, :1], np.split(points, np.cumsum(counts)[:-1]), strict=True
        )
    ]


CUBICS = {
    "arch": [(0, 0), (0, 10), (10, 10), (10, 0)],
    "straight": [(0, 0), (1, 1), (2, 2), (3, 3)],
    "straight, uneven": [(0, 0), (0.1, 0), (9, 0), (10, 0)],
    "beyond its ends and back": [(0, 0), (20, 0), (-10, 0), (10, 0)],
    "turns on itself": [(0, 0), (30, 0), (30, 0), (0, 0)],
    "loop": [(0, 0), (20, 10), (-10, 10), (10, 0)],
    "cusp": [(0, 0), (10, 10), (0, 10), (10, 0)],
    "closed loop": [(0, 0), (10, 10), (-10, 10), (0, 0)],
    "inflection, symmetric": [(0, 0), (10, 10), (0, -10), (10, 0)],
    "a dot": [(1, 1), (1, 1), (1, 1), (1, 1)],
    "first control at its end": [(0, 0), (0, 0), (5, 10), (10, 0)],
    "both controls at the far ends": [(0, 0), (10, 0), (0, 0), (10, 0)],
}


@pytest.mark.parametrize("tolerance", [1.0, 0.02, 1e-5])
@pytest.mark.parametrize("name", CUBICS)
def test_cubics_keep_the_chord_error(name, tolerance):
    control = np.array(CUBICS[name], float)
    (line,) = polylines(control[None], tolerance)
    t = np.sort(
        np.concatenate([np.linspace(0, 1, 2001), np.random.default_rng(1).uniform(0, 1, 2000)])
    )
    assert off(bernstein(control, t), line) <= tolerance * (1 + 1e-9) + 1e-12
    assert (
        off(line, bernstein(control, np.linspace(0, 1, 20001))) <= 1e-4
    )  # its points lie on the curve
    assert line[0].tolist() == control[0].tolist()
    assert line[-1].tolist() == control[-1].tolist()


def test_straight_cubics_need_no_points_between():
    assert flatten.cubics(
        np.array([CUBICS["straight"], CUBICS["straight, uneven"], CUBICS["a dot"]], float), 1e-6
    )[1].tolist() == [1, 1, 1]


def test_many_cubics_at_once_are_the_same_as_one_by_one():
    rng = np.random.default_rng(7)
    controls = rng.uniform(-50, 50, (300, 4, 2))
    points, counts = flatten.cubics(controls, 0.02)
    alone = [flatten.cubics(control[None], 0.02)[0] for control in controls]
    assert counts.tolist() == [len(part) for part in alone]
    np.testing.assert_array_equal(points, np.concatenate(alone))


def test_no_cubics_give_no_points():
    points, counts = flatten.cubics(np.empty((0, 4, 2)), 0.02)
    assert points.shape == (0, 2)
    assert counts.shape == (0,)


def test_cubics_are_flattened_with_few_points():
    """Against the fewest that equal steps of the parameter need, found by trying."""
    rng = np.random.default_rng(3)
    controls = rng.uniform(0, 60, (40, 4, 2))
    t = np.linspace(0, 1, 801)
    fewest = []
    for control in controls:
        curve = bernstein(control, t)
        fewest.append(
            next(
                n
                for n in range(8, 2000)
                if off(curve, bernstein(control, np.linspace(0, 1, n + 1))) <= 0.02
            )
        )
    assert flatten.cubics(controls, 0.02)[1].sum() <= 1.1 * sum(fewest)


def test_the_bound_on_a_cubic_is_met_but_hardly_exceeded():
    rng = np.random.default_rng(11)
    controls = np.concatenate([rng.uniform(-1, 1, (300, 4, 2)), [CUBICS["arch"]], [CUBICS["cusp"]]])
    bound = flatten._cubic_error(controls)
    true = [
        off(bernstein(control, np.linspace(0, 1, 801)), control[[0, 3]]) for control in controls
    ]
    assert (bound >= np.array(true) * (1 - 1e-9)).all()
    assert bound[300] == pytest.approx(7.5)  # exact where both controls are equally far


def test_too_many_points_are_refused_before_they_are_made():
    with pytest.raises(InvalidValue, match="larger tolerance"):
        flatten.cubics(np.array([CUBICS["arch"]], float) * 1e6, 1e-9)
    with pytest.raises(InvalidValue, match="larger tolerance"):
        flatten.adaptive(
            lambda t: np.column_stack([np.cos(t), np.sin(t)]) * 1e6, np.linspace(0, 6, 9), 1e-9
        )


@pytest.mark.parametrize("share", [1e-14, 1e-6, 0.3, 1.0, 5.0])
def test_chords_are_the_fewest(share):
    if share < 1e-13:
        with pytest.raises(InvalidValue):
            flatten.chords(1.0, 2 * math.pi, share)
        return
    count = int(flatten.chords(1.0, 2 * math.pi, share))
    error = 2 * math.sin(math.pi / count / 2) ** 2  # 1 - cos, without cancellation
    assert error <= min(share, 1.0) * (1 + 1e-9)
    assert count <= 2 or 2 * math.sin(math.pi / (count - 1) / 2) ** 2 > share * (1 - 1e-9)


@pytest.mark.parametrize("count", [4, 8, 12, 100, 2048, 2052])
def test_unit_circle_is_even_and_closed(count):
    ring = flatten.unit_circle(count)
    assert ring.shape == (count + 1, 2)
    assert ring[0].tolist() == ring[-1].tolist() == [1, 0]
    np.testing.assert_allclose(np.hypot(*ring.T), 1, rtol=1e-15)
    np.testing.assert_allclose(
        ring[:-1].view(complex)[:, 0], np.exp(2j * math.pi * np.arange(count) / count), atol=1e-15
    )
    assert not ring.flags.writeable


def circle(t):
    return np.column_stack([np.cos(t), np.sin(t)])


def test_adaptive_goes_through_its_breaks_in_order():
    breaks = np.array([0.0, 0.3, 2.0, 5.5])
    points = flatten.adaptive(circle, breaks, 1e-3)
    angles = np.unwrap(np.arctan2(points[:, 1], points[:, 0]))
    assert (np.diff(angles) > 0).all()
    assert all(np.abs(angles - value).min() < 1e-12 for value in breaks)


def test_adaptive_is_not_wasteful_on_a_circle():
    for radius in (1.0, 20.0, 40.0, 150.0):
        points = flatten.adaptive(
            lambda t, r=radius: r * circle(t), np.linspace(0, 2 * math.pi, 9), 0.02
        )
        assert len(points) - 1 <= 1.15 * flatten.chords(radius, 2 * math.pi, 0.02) + 8


def test_a_jump_is_refused_by_its_place():
    with pytest.raises(InvalidValue, match=r"t = 0\.7") as caught:
        flatten.adaptive(
            lambda t: np.column_stack([t, np.where(t < 0.7, 0.0, 5.0)]),
            np.linspace(0, 1, 9),
            0.02,
            known=False,
        )
    assert caught.value.t == pytest.approx(0.7, abs=1e-9)


@pytest.mark.parametrize("steep", [1e2, 1e5, 1e8])
def test_what_is_steep_is_no_jump(steep):
    points = flatten.adaptive(
        lambda t: np.column_stack([t, np.tanh(steep * (t - 0.7))]),
        np.linspace(0, 1, 9),
        0.02,
        known=False,
    )
    assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(3, rel=0.2)


def test_a_curve_that_is_not_finite_is_refused():
    with pytest.raises(InvalidValue, match="not finite"), np.errstate(all="ignore"):
        flatten.adaptive(lambda t: np.column_stack([t, 1 / (t - 0.5)]), np.linspace(0, 1, 9), 0.02)


def test_a_curve_without_extent_is_a_few_equal_points():
    points = flatten.adaptive(lambda t: np.zeros((len(t), 2)), np.linspace(0, 1, 5), 0.02)
    assert points.tolist() == [[0, 0]] * 5


# ---- values by hand


@pytest.mark.parametrize(
    ("radius", "sweep", "share", "count"),
    [
        (1.0, 2 * math.pi, 1 - math.cos(math.pi / 6), 6),
        (7.0, 2 * math.pi, 1 - math.cos(math.pi / 6), 6),
        (7.0, -math.pi, 1 - math.cos(math.pi / 6), 3),
        (7.0, 0.01, 1 - math.cos(math.pi / 6), 1),
        (7.0, 0.0, 1 - math.cos(math.pi / 6), 1),
        (1.0, 2 * math.pi, 1.0, 2),
        (1.0, 2 * math.pi, 9.0, 2),  # a tolerance beyond the radius
        (1.0, 2 * math.pi, 1 - math.cos(math.pi / 20), 20),
    ],
)
def test_chords_by_hand(radius, sweep, share, count):
    """A chord of an angle a leaves its circle by radius (1 - cos a / 2)."""
    for hair, more in ((1e-9, 0), (-1e-9, 1)):
        made = int(flatten.chords(radius, sweep, radius * share * (1 + hair)))
        assert made == count + (more if count > 1 and share <= 1 else 0)
    several = flatten.chords(np.full(3, radius), np.array([sweep, 0, sweep]), radius * share * 1.01)
    assert several.tolist() == [count, 1, count]


@pytest.mark.parametrize(("corners", "count"), [(4, 4), (5, 8), (8, 8), (9, 12), (30, 32)])
def test_circles_have_a_multiple_of_four_chords(corners, count):
    tolerance = (1 - math.cos(math.pi / corners)) * (1 + 1e-9)
    assert int(flatten.circle_chords(1.0, tolerance)) == count


def test_a_unit_arc_by_hand():
    made = flatten.unit_arc(math.pi / 2, math.pi, 2)
    assert made == pytest.approx(np.array([(0, 1), (-1, 0), (0, -1)]), abs=1e-15)
    made = flatten.unit_arc(0.0, -math.pi / 2, 3)
    half = math.sqrt(3) / 2
    assert made == pytest.approx(np.array([(1, 0), (half, -0.5), (0.5, -half), (0, -1)]), abs=1e-15)


def test_as_many_points_as_are_enough():
    flatten.enough(flatten.MOST_POINTS, 0.02)
    for count in (flatten.MOST_POINTS + 1, math.nan):
        with pytest.raises(InvalidValue, match="use a larger tolerance") as caught:
            flatten.enough(count, 0.02)
        assert caught.value.tolerance == 0.02


@pytest.mark.parametrize(
    ("control", "steps"),
    [
        ([(0, 0), (9, 5)], 1),
        ([(0, 0), (1, 1), (2, 2)], 1),
        # second differences (0, -4): 2 * 1 * 4 / (8 * 0.02) = 50
        ([(0, 0), (1, 2), (2, 0)], 8),
        # (0, 0) and (4, -1), the longer of which counts: 3 * 2 * 4.123 / (8 * 0.02) = 154.6
        ([(0, 0), (0, 1), (0, 2), (4, 2)], 13),
    ],
)
def test_even_curves_of_any_degree(control, steps):
    """Points by Bernstein's polynomials."""
    control = np.array(control, float)
    degree = len(control) - 1
    made = flatten.even_bezier(control, 0.02)
    assert len(made) == steps
    t = np.arange(1, steps + 1) / steps
    weights = [math.comb(degree, k) * t**k * (1 - t) ** (degree - k) for k in range(degree + 1)]
    assert made == pytest.approx(np.column_stack(weights) @ control)


@pytest.mark.parametrize(
    ("wanted", "parts"),
    [
        (0.5, 2),
        (1.5, 2),
        (5.2, 6),
        (8.0, 8),
        (8.5, 3),  # 3 * 3 = 9 parts in the end; 2 * 5 and 4 * 3 are more
        (9.5, 2),  # 10, and 12
        (11.5, 4),  # 12 of either: the more at once
        (97.5, 2),  # 98, 99 and 100
    ],
)
def test_parts_that_need_the_least_rounding_up(wanted, parts):
    error = np.array([wanted**2 * 0.02, 1.5**2 * 0.02])
    assert flatten._parts(error, 0.02, 0).tolist() == [parts, 2]


def test_parts_are_foreseen_at_a_quarter():
    most = flatten.MOST_POINTS
    error = np.array([1e4]) ** 2 * 0.02  # ten thousand parts, of which a quarter is counted
    flatten._parts(error, 0.02, most - 2_500)
    with pytest.raises(InvalidValue, match="larger tolerance"):
        flatten._parts(error, 0.02, most - 2_499)


def test_intervals_are_cut_evenly_and_share_their_ends():
    low, high = flatten._divided(np.array([0.0, 3.0]), np.array([1.0, 5.0]), np.array([2, 4]))
    assert low.tolist() == [0, 0.5, 3, 3.5, 4, 4.5]
    assert high.tolist() == [0.5, 1, 3.5, 4, 4.5, 5]
    third = 0.1 + 0.6
    low, high = flatten._divided(np.array([0.1]), np.array([third]), np.array([3]))
    assert high[-1] == third
    assert low[1:].tolist() == high[:-1].tolist()


def test_distances_from_a_chord():
    """Beside it, before it, beyond it; and from a chord that is a dot."""
    begin = np.array([(1.0, 1.0), (2.0, 2.0)])
    end = np.array([(5.0, 1.0), (2.0, 2.0)])
    q = np.array([[(2, 3), (-2, 5), (8, -3)], [(2, 2), (5, 6), (2, 1)]], float)
    assert flatten._off_chord(q, begin, end).tolist() == [[2, 5, 5], [0, 5, 1]]


def test_a_jump_is_a_step_that_is_nearly_all_of_the_way():
    """A step of 5 alone, and one among waves that go as far again."""
    probes = np.linspace(0.1, 0.9, 9)

    def curve(t):
        return np.column_stack([t * 0.01, np.where(t > 0.55, 5.0, 0.0)])

    ends = np.array([0.0]), np.array([1.0])
    plain, start = flatten._deviation(curve, *ends, probes, math.inf)
    assert start.tolist() == [[0, 0]]
    assert plain[0] < 0.01  # all probes are close to the chord
    assert flatten._deviation(curve, *ends, probes, 1.0)[0][0] == pytest.approx(5)
    assert flatten._deviation(curve, *ends, probes, 6.0)[0][0] == plain[0]

    def uneven(t):
        x = np.where(t > 0.55, 5.0, 0.0)
        return np.column_stack([x, 0.7 * np.sin(40 * t)])

    assert flatten._deviation(uneven, *ends, probes, 1.0)[0][0] < 2


@pytest.mark.parametrize(
    ("a", "b", "error"), [(0.5, 0.5 + 1e-6, 1.0), (0.5, 0.9, math.inf), (0.5, math.nan, 1.0)]
)
def test_what_stays_uneven_on_a_hair_jumps(a, b, error):
    fine = np.array([0.25, a]), np.array([0.5, b]), np.array([1.0, error])
    with pytest.raises(InvalidValue, match=r"t = 0\.5; end it before") as caught:
        flatten._no_jump(*fine, 1.1e-6)
    assert caught.value.t == 0.5
    flatten._no_jump(fine[0][:1], fine[1][:1], fine[2][:1], 1.1e-6)
    flatten._no_jump(*(np.empty(0),) * 3, 1.1e-6)
