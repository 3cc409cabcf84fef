"""Lengths, areas and points of curves against closed forms.

The numbers are closed forms evaluated, or integrated numerically, outside this package to the
digits given. A polyline with its corners on the curve is shorter than the curve, by 8/3 (sagitta /
chord)^2 of it: the tolerances below keep that under 1e-6.
"""

import math
from functools import partial

import numpy as np
import pytest
import shapely

from plotlib import curves, shapes
from plotlib.arrays.flatten import chords
from tests.outside import COMPUTED, MEMORY, published

known = partial(published, module="curves", source="closed forms, integrated apart", kind=COMPUTED)


def just_below(within, length, exact, scale=1.0):
    assert exact * (1 - within.rel) < length / scale <= exact * (1 + 1e-9)


# Chord error e on radius r: N = ceil(pi / acos(1 - e / r)), from the sagitta r (1 - cos(pi / N)).
@known(column="count")
@pytest.mark.parametrize(
    ("radius", "error", "count"),
    [(1, 0.01, 23), (10, 0.05, 32), (50, 0.05, 71), (100, 0.01, 223), (2.5, 0.002, 79)],
)
def test_chords_of_a_circle(radius, error, count):
    assert chords(radius, 2 * math.pi, error) == count
    assert len(shapes.circle((0, 0), radius, tolerance=error)[0]) - 1 == -4 * (-count // 4)


# Ellipse with half axes a, b: 4 a E(m), m = 1 - b^2 / a^2, the complete elliptic integral of the
# second kind.
@known(column="length", rel=1e-6, claim="length of an ellipse, 4 a E(m)")
@pytest.mark.parametrize(
    ("a", "b", "length"),
    [
        (2, 1, 9.688448220548),
        (5, 3, 25.526998863398),
        (50, 30, 255.269988633981),
        (10, 1, 40.639741801009),
    ],
)
def test_ellipse(a, b, length, within):
    just_below(within, shapes.ellipse((0, 0), a, b, angle=20, tolerance=a * 1e-7).length, length)


@known(printed=26.960682803979, rel=1e-6)
def test_part_of_an_ellipse(within, printed):
    drawing = curves.parametric(
        lambda t: (50 * np.cos(t), 30 * np.sin(t)), 0, math.pi / 4, tolerance=1e-6
    )
    just_below(within, drawing.length, printed)


@known(printed={"length": 20.0, "top": 7.5}, rel=1e-6, abs=1e-6)
def test_cubic_bezier(within, printed):
    drawing = curves.bezier([(0, 0), (0, 10), (10, 10), (10, 0)], tolerance=1e-6)
    just_below(within, drawing.length, printed["length"])
    assert drawing.bounds[3] == pytest.approx(
        printed["top"], abs=within.abs
    )  # its mid-point (5, 7.5)


@known(printed=14.789428575446, rel=1e-6)
@pytest.mark.parametrize(
    ("points", "degree"),
    [([(0, 0), (5, 10), (10, 0)], 2), ([(0, 0), (10 / 3, 20 / 3), (20 / 3, 20 / 3), (10, 0)], 3)],
)
def test_quadratic_bezier_and_the_same_raised_to_a_cubic(points, degree, within, printed):
    just_below(within, curves.bezier(points, degree=degree, tolerance=1e-6).length, printed)


# Circle by four cubics: kappa = 4 (sqrt 2 - 1) / 3, radius error 0 ... +0.027253 % (a published
# figure), length +0.014029 %.
@known(
    source="a published figure for kappa = 4 (sqrt 2 - 1) / 3",
    kind=MEMORY,
    printed=(1.00027253, 1.00014029),
    rel=1e-6,
    abs=5e-8,
    claim="a circle by four cubics: its largest radius, its length / 2 pi",
)
def test_circle_by_four_cubics(within, printed):
    k = 4 * (math.sqrt(2) - 1) / 3
    quarter = np.array([(1, 0), (1, k), (k, 1), (0, 1)])
    turns = [quarter @ np.array([[c, s], [-s, c]]) for c, s in [(1, 0), (0, 1), (-1, 0), (0, -1)]]
    drawing = curves.bezier(
        np.concatenate([turns[0], *(turn[1:] for turn in turns[1:])]), tolerance=1e-7
    )
    far = np.hypot(*drawing[0].T)
    assert far.min() >= 1 - 1e-12
    assert far.max() == pytest.approx(printed[0], abs=within.abs)
    just_below(within, drawing.length, 2 * math.pi * printed[1])


@known(column="length", rel=1e-6, claim="lengths of a parabola, a sine and a catenary")
@pytest.mark.parametrize(
    ("function", "until", "length"),
    [
        (lambda t: (t, t**2), 1, 1.478942857545),
        (lambda t: (t, np.sin(t)), 2 * math.pi, 7.640395578055),
        (lambda t: (t, np.cosh(t)), 1, 1.175201193644),
    ],
)
def test_graphs(function, until, length, within):
    just_below(within, curves.parametric(function, 0, until, tolerance=1e-7).length, length)


# Archimedean spiral r = b theta, b = pitch / 2 pi: b / 2 (theta sqrt(1 + theta^2) + asinh theta).
@known(column="length", rel=1e-6, claim="length of an Archimedean spiral")
@pytest.mark.parametrize(
    ("pitch", "turns", "length"),
    [
        (1, 1, 3.383044286),
        (5, 10, 1572.918515120),
        (2, 20, 2514.233312223),
        (0.8, 50, 6283.627315376),
    ],
)
def test_archimedean_spiral(pitch, turns, length, within):
    just_below(
        within,
        curves.archimedean_spiral(
            (3, 4), pitch * turns, pitch=pitch, tolerance=pitch * turns * 2e-7
        ).length,
        length,
    )


@known(printed=2199.827470243, rel=1e-6, claim="length of an Archimedean spiral between two radii")
def test_archimedean_spiral_between_two_radii(within, printed):
    just_below(
        within,
        curves.archimedean_spiral((0, 0), 60, pitch=5, inner=10, angle=77, tolerance=1e-5).length,
        printed,
    )


# r = e^(0.1 theta): sqrt(1 + 0.01) / 0.1 (e^(0.1 theta) - 1).
@known(printed=56.139227937, rel=1e-6, claim="length of a logarithmic spiral")
def test_logarithmic_spiral(within, printed):
    just_below(
        within,
        curves.logarithmic_spiral(
            (0, 0), math.exp(0.6 * math.pi), inner=1, turns=3, tolerance=1e-7
        ).length,
        printed,
    )


# One arch of a cycloid: length 8 r, area 3 pi r^2.
@known(
    printed={"length": 8, "area": 300 * math.pi},
    rel=1e-6,
    claim="one arch of a cycloid: length 8 r, area 3 pi r^2",
)
def test_cycloid(within, printed):
    drawing = curves.trochoid((0, 0), 10, tolerance=1e-6)
    just_below(within, drawing.length, printed["length"], scale=10)
    assert shapely.Polygon(drawing[0]).area == within.of(printed["area"])


# Epicycloid with k cusps, rolling radius r: 8 (k + 1) r; hypocycloid: 8 (k - 1) r.
@known(column="length", rel=1e-6, claim="epicycloids 8 (k + 1) r, hypocycloids 8 (k - 1) r")
@pytest.mark.parametrize(
    ("make", "cusps", "length"),
    [
        (curves.epitrochoid, 1, 16),
        (curves.epitrochoid, 2, 24),
        (curves.epitrochoid, 3, 32),
        (curves.hypotrochoid, 3, 16),
        (curves.hypotrochoid, 4, 24),
    ],
)
def test_cycloids_on_circles(make, cusps, length, within):
    just_below(within, make((0, 0), 20.0 * cusps, 20, tolerance=2e-6).length, length, scale=20)


@known(column="length", rel=1e-6, claim="lengths of hypotrochoids")
@pytest.mark.parametrize(
    ("fixed", "rolling", "arm", "turns", "lobes", "length"),
    [
        (105, 45, 30, 3, 7, 1260.602672381),
        (96, 36, 20, 3, 8, 1220.071627457),
        (5, 3, 5, 3, 5, 68.627374001),
        (10, 4, 3, 2, 5, 86.442536972),
    ],
)
def test_hypotrochoid(fixed, rolling, arm, turns, lobes, length, within):
    drawing = curves.hypotrochoid((0, 0), fixed, rolling, arm=arm, tolerance=fixed * 1e-7)
    just_below(within, drawing.length, length)
    x, y = drawing[0].T
    around = turns if arm < fixed - rolling else lobes - turns
    assert abs(np.unwrap(np.arctan2(y, x))[-1]) == pytest.approx(2 * math.pi * around, abs=1e-9)
    far = np.hypot(x, y)[:-1]
    assert np.sum((far >= np.roll(far, 1)) & (far > np.roll(far, -1))) == lobes


# (sin(a t + delta), sin(b t)) over one period.
@known(column="length", rel=1e-6, claim="lengths of Lissajous curves")
@pytest.mark.parametrize(
    ("x", "y", "phase", "length"),
    [
        (1, 1, 90, 2 * math.pi),
        (1, 2, 0, 9.429431297),
        (3, 2, 90, 15.289373928),
        (3, 4, 90, 21.237215225),
        (5, 4, 90, 27.217337347),
        (10, 8, 90, 27.217337347),
    ],
)
def test_lissajous(x, y, phase, length, within):
    just_below(
        within, curves.lissajous((5, 5), 2, 2, x=x, y=y, phase=phase, tolerance=1e-7).length, length
    )


# The rose cos 2 theta is as long as the ellipse 2, 1; the lemniscate is the lemniscate constant
# twice.
@known(column="length", rel=1e-6, claim="lengths of roses")
@pytest.mark.parametrize(("k", "length"), [(3, 6.682446610), (2, 9.688448221)])
def test_rose(k, length, within):
    just_below(within, curves.rose((0, 0), 1, k=k, tolerance=1e-7).length, length)


@known(printed=5.244115109, rel=1e-6, claim="the lemniscate is its constant twice")
def test_lemniscate(within, printed):
    just_below(within, curves.lemniscate((0, 0), 1, tolerance=1e-7).length, printed)


@known(column="perimeter", abs=5e-10, claim="perimeters of regular polygons")
@pytest.mark.parametrize(
    ("sides", "perimeter"),
    [
        (3, 5.196152423),
        (4, 5.656854249),
        (5, 5.877852523),
        (6, 6),
        (8, 6.122934918),
        (12, 6.211657082),
    ],
)
def test_regular_polygon(sides, perimeter, within):
    assert shapes.regular_polygon((0, 0), 1, sides=sides).length == within.of(perimeter)


@known(column="length", abs=5e-10, claim="perimeters of star polygons")
@pytest.mark.parametrize(
    ("corners", "step", "length"),
    [(5, 2, 9.510565163), (7, 2, 10.945640755), (7, 3, 13.648990771), (8, 3, 14.782072520)],
)
def test_star_polygon(corners, step, length, within):
    assert shapes.star_polygon((0, 0), 1, corners=corners, step=step).length == within.of(length)


@known(printed=0.381966011, abs=5e-10)
def test_inner_radius_of_the_five_pointed_star(within, printed):
    assert np.hypot(*shapes.star((0, 0), 1)[0][1]) == within.of(printed)


@known(
    printed={"length": 7.0176979, "area": 3.708149355},
    rel=1e-6,
    claim="length and area of the superellipse of power 4",
)
def test_superellipse(within, printed):
    drawing = curves.superellipse((0, 0), 1, 1, power=4, tolerance=1e-7)
    just_below(within, drawing.length, printed["length"])
    assert shapely.Polygon(drawing[0]).area == within.of(printed["area"])


# H. Vogel, A better way to construct the sunflower head, Mathematical Biosciences 44, 1979: angle
# 180 (3 - sqrt 5), r = c sqrt k.
@known(
    source="H. Vogel, Mathematical Biosciences 44, 1979: angle 180 (3 - sqrt 5), r = c sqrt k",
    printed=[(-0.737369, 0.675490), (0.123639, -1.408799), (1.053847, 1.374557)],
    abs=5e-7,
    claim="the first seeds of a sunflower",
)
def test_phyllotaxis(within, printed):
    seeds = curves.phyllotaxis((0, 0), 1000, scale=1).points
    np.testing.assert_allclose(seeds[:3], printed, atol=within.abs)
    tree = shapely.STRtree(shapely.points(seeds))
    near = tree.query_nearest(shapely.points(seeds), return_distance=True, exclusive=True)[1]
    assert (round(near.min(), 3), round(near.max(), 3)) == (1.602, 1.774)


# J. Gielis, American Journal of Botany 90(3), 333-338, 2003 (formula from memory, its values
# computed): the distance at 45 degrees.
@known(
    source="J. Gielis, American Journal of Botany 90(3), 333-338, 2003 (formula from memory)",
    column="distance",
    abs=2e-6,
    claim="the superformula at 45 degrees",
)
@pytest.mark.parametrize(
    ("m", "n", "distance"),
    [
        (4, (1, 1, 1), 0.707106781),
        (0, (1, 1, 1), 1),
        (3, (4.5, 10, 10), 1.501143406),
        (6, (1, 7, 8), 1.879727625),
    ],
)
def test_superformula(m, n, distance, within):
    drawing = curves.superformula((0, 0), 10, m=m, n1=n[0], n2=n[1], n3=n[2], tolerance=1e-6)
    ray = shapely.LineString([(0, 0), (100, 100)])
    found = shapely.get_coordinates(shapely.intersection(ray, shapely.LineString(drawing[0])))
    assert np.hypot(*found.T).max() == within.of(10 * distance)
