"""Streamlines and iso-lines against closed forms.

The closure errors of the classical Runge-Kutta formula on the circle, and its results on the saddle
and the spiral, were computed once in plain floating point from the formula; exact solutions are
elementary. Orders: error ~ step^4 (classical), step^5 (J. R. Dormand, P. J. Prince, J. Comp. Appl.
Math. 6, 1980).
"""

import math
from functools import partial

import numpy as np
import pytest
from shapely import Point, box

from plotlib import fields
from plotlib.fields.steps import classical, embedded
from tests.outside import COMPUTED, MEMORY, published

RUNGE = "the classical Runge-Kutta formula in plain floating point"
known = partial(published, module="fields", source="closed form", kind=COMPUTED)


def circle(p):
    return np.stack([-p[:, 1], p[:, 0]], axis=1)


def walk(step, flow, start, size, count):
    points = np.array([start], float)
    for _ in range(count):
        points = step(flow, points, size)
    return points[0]


@known(source=RUNGE, column="error", rel=1e-3)
@pytest.mark.parametrize(
    ("count", "error"),
    [(16, 1.243e-3), (32, 7.779e-5), (64, 4.864e-6), (128, 3.040e-7), (256, 1.900e-8)],
)
def test_one_turn_of_the_classical_formula(count, error, within):
    end = walk(classical, circle, (1, 0), 2 * math.pi / count, count)
    assert math.hypot(end[0] - 1, end[1]) == within.of(error)


@known(source=RUNGE, column="growth", abs=5e-10)
@pytest.mark.parametrize(("step", "growth"), [(0.1, 0.999999993064), (0.5, 0.999894878)])
def test_growth_of_the_radius_in_a_step(step, growth, within):
    assert np.hypot(*walk(classical, circle, (1, 0), step, 1)) == within.of(growth)


@known(source=RUNGE, printed=(2.71827974, 0.36787977), abs=5e-9, claim="ten steps on the saddle")
def test_saddle(within, printed):
    end = walk(classical, lambda p: p * [1, -1], (1, 1), 0.1, 10)
    assert end == within.of(printed)
    assert end[0] * end[1] == pytest.approx(1, abs=1.4e-7)


@known(printed=0.533488091, abs=5e-7, claim="a turn of the spiral")
def test_spiral(within, printed):
    flow = lambda p: np.stack([-0.1 * p[:, 0] - p[:, 1], p[:, 0] - 0.1 * p[:, 1]], axis=1)  # noqa: E731
    end = walk(classical, flow, (1, 0), 2 * math.pi / 100, 100)
    assert math.hypot(end[0] - printed, end[1]) < within.abs


@known(printed=0.4034226801, abs=3e-8)
def test_stream_function_is_kept(within, printed):
    def flow(p):
        across = np.sin(p[:, 0]) * np.cos(p[:, 1])
        up = -np.cos(p[:, 0]) * np.sin(p[:, 1])
        return np.stack([across, up], axis=1)

    x, y = walk(classical, flow, (1, 0.5), 0.05, 1000)
    assert math.sin(x) * math.sin(y) == within.of(printed)


@known(
    source="J. R. Dormand, P. J. Prince, J. Comp. Appl. Math. 6, 1980",
    kind=MEMORY,
    printed=28,
    claim="halving the step divides the error of the embedded formula by more than",
)
def test_fifth_order_of_the_embedded_formula(printed):
    errors = []
    for count in (16, 32, 64):
        end = walk(lambda f, p, h: embedded(f, p, h)[0], circle, (1, 0), 2 * math.pi / count, count)
        errors.append(math.hypot(end[0] - 1, end[1]))
    assert errors[0] / errors[1] > printed
    assert errors[1] / errors[2] > printed


@known(
    source=RUNGE,
    printed={50: -1.4e-8, 10: -4.3e-5},
    rel=0.05,
    claim="what a radius of 50 and 10 mm loses over 1000 steps",
)
@pytest.mark.parametrize("radius", [10.0, 50.0])
def test_circle_drawn_in_fixed_steps(radius, within, printed):
    """Unit speed, h = 1: the radius is kept to −1.4e−8 (R 50) and −4.3e−5 mm (R 10) over 1000
    steps.
    """
    line = fields.streamline(
        fields.flow(lambda x, y: (-y, x)),
        (radius, 0),
        box(-99, -99, 99, 99),
        step=1,
        length=1000,
        both_ways=False,
        tolerance=1e-9,
    )
    far = np.hypot(*line.points.T)
    assert len(line.points) == 1001
    assert far[-1] - radius == within.of(printed[radius])


@known(abs=2e-3)
def test_error_controlled_line_closes_on_the_circle(within):
    line = fields.streamline(fields.vortex((3, 4)), (43, 4), box(-99, -99, 99, 99), tolerance=0.01)
    assert line.is_closed.all()
    assert np.abs(np.hypot(*(line.points - (3, 4)).T) - 40).max() < within.abs
    chords = (line.points[1:] + line.points[:-1]) / 2
    assert np.abs(np.hypot(*(chords - (3, 4)).T) - 40).max() < 0.012


@known(printed=6, abs=0.15)
def test_error_controlled_line_on_the_saddle_keeps_xy(within, printed):
    line = fields.streamline(fields.saddle((0, 0)), (2, 3), box(-60, -60, 60, 60))
    assert (
        np.abs(line.points[:, 0] * line.points[:, 1] - printed).max() < within.abs
    )  # 60 times 2.5 µm at the ends
    assert line.bounds[2] == pytest.approx(60)
    assert line.bounds[3] == pytest.approx(60)


@known(rel=2e-3)
def test_spiral_ends_at_its_middle(within):
    inward = fields.flow(lambda x, y: (-0.3 * x - y, x - 0.3 * y))
    line = fields.streamline(inward, (30, 0), Point(0, 0).buffer(50), both_ways=False)
    assert line.length == pytest.approx(30 * math.sqrt(1 + 0.3**2) / 0.3, rel=within.rel)
    assert np.hypot(*line.points[-1]) < 0.05  # it ends where a pen would only make a blot


@known(abs=0.03)
def test_evenly_spaced_lines_of_a_vortex_are_circles(within):
    drawing = fields.streamlines(
        fields.vortex((0, 0), core=15), Point(0, 0).buffer(40, quad_segs=256), spacing=1
    )
    assert drawing.is_closed.mean() > 0.9
    spread = [np.ptp(np.hypot(*stroke.T)) for stroke in drawing]
    assert max(spread) < within.abs


@known(abs=1e-9, rel=2e-3)
def test_contours_of_a_cone_are_circles(within):
    lines = fields.isolines(
        fields.distance_to_point((50, 40)), box(0, 0, 100, 80), levels=[5, 17.5, 33], tolerance=0
    )
    assert lines.is_closed.all()
    for stroke, level in zip(lines, (5, 17.5, 33), strict=True):
        assert np.abs(np.hypot(*(stroke - (50, 40)).T) - level).max() < within.abs
    assert lines.lengths == pytest.approx(2 * math.pi * np.array([5, 17.5, 33]), rel=within.rel)


@known(source="arc length by scipy.integrate.quad", rel=1e-3, abs=1e-9)
def test_contours_of_a_saddle_are_hyperbolas(within):
    field = fields.from_function(lambda x, y: x * y, lambda x, y: (y, x))
    region = box(-10, -10, 10, 10)
    lines = fields.isolines(field, region, levels=[4, -4], tolerance=0)
    assert len(lines) == 4
    inner = np.abs(lines.points).max(axis=1) < 9.9  # the ends were cut from chords
    assert np.abs(np.abs(lines.points.prod(axis=1)) - 4)[inner].max() < within.abs
    from scipy.integrate import quad

    arc = quad(lambda x: math.sqrt(1 + (4 / x**2) ** 2), 0.4, 10)[0]
    assert lines.lengths == pytest.approx(np.full(4, arc), rel=within.rel)


@known(source="Gauss's formula", abs=1e-5)
@pytest.mark.parametrize("kind", ["noise", "spline", "sum"])
def test_curl_has_no_divergence(kind, within):
    """What flows out of a cell, over what flows through its sides: by Gauss's formula, exact on the
    pieces of a bicubic spline.
    """
    region = box(0, 0, 100, 80)
    size = 0.8
    noise = fields.perlin(scale=20, octaves=3, seed=2)
    field = {
        "noise": noise,
        "spline": fields.sampled(noise, region, step=size),
        "sum": noise * 2 + fields.ramp(30) * 0.1,
    }[kind]
    flow = field.curl()
    nodes, weights = np.polynomial.legendre.leggauss(3 if kind == "spline" else 24)
    at = (nodes + 1) / 2 * size
    share = weights / 2 * size
    x0, y0 = np.meshgrid(np.arange(1, 120) * size, np.arange(1, 95) * size)
    x = x0[..., None]
    y = y0[..., None]
    right, left = (flow(x + d + 0 * at, y + at)[0] @ share for d in (size, 0))
    up, down = (flow(x + at, y + d + 0 * at)[1] @ share for d in (size, 0))
    out = np.abs(right - left + up - down)
    through = np.abs(right) + np.abs(left) + np.abs(up) + np.abs(down)
    limit = (
        1e-9 if kind == "spline" else within.abs
    )  # the noise's own cells cross the sides at kinks of its second derivative
    assert (out / through.mean()).max() < limit
