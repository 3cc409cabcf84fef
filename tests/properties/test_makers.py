"""Laws of the makers: against the exact curve, written down once more in its textbook form,
whatever the sizes and tolerances.
"""

import math

import numpy as np
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plotlib import curves, shapes

SAMPLES = 1200
tolerances = st.sampled_from([0.5, 0.1, 0.02, 0.003])
sizes = st.floats(0.05, 120)
coordinates = st.floats(-200, 200).map(lambda value: round(value, 3))
places = st.tuples(coordinates, coordinates)
degrees = st.floats(-360, 360)


makers = settings(deadline=None, max_examples=40)


def farthest(points, polyline):
    """Greatest distance of points from a polyline."""
    if (
        np.ptp(polyline, axis=0).max() < 1e-100
    ):  # squares of such lengths underflow, and shapely's tree finds nothing
        return np.hypot(*(points - polyline[0]).T).max()
    segments = shapely.linestrings(np.stack([polyline[:-1], polyline[1:]], axis=1))
    return (
        shapely.STRtree(segments)
        .query_nearest(shapely.points(points), return_distance=True, all_matches=False)[1]
        .max()
    )


def spread(t0, t1):
    """Parameters in order, the ends included, that no rule of halving or of equal steps can
    foresee.
    """
    inner = np.random.default_rng(0).random(SAMPLES)
    return np.concatenate([[t0], t0 + (t1 - t0) * np.sort(inner), [t1]])


def follows(drawing, curve, t0, t1, tolerance, *, closed=False):
    """The one stroke lies as near to ``curve`` (complex numbers of arrays) as it says, and its
    points are on it.
    """
    assert len(drawing) == 1
    assert not closed or drawing.is_closed.all()
    exact = curve(spread(t0, t1))
    exact = np.column_stack([exact.real, exact.imag])
    assert farthest(exact, drawing[0]) <= tolerance * (1 + 1e-6) + 1e-9
    some = drawing[0][:: max(1, len(drawing[0]) // 30)]
    fine = curve(np.linspace(t0, t1, 30_000))
    near = [np.abs(fine - complex(*point)).min() for point in some]
    assert max(near) <= np.abs(np.diff(fine)).max() * 0.6 + 1e-9
    assert np.hypot(*(drawing[0][[0, -1]] - exact[[0, -1]]).T).max() < 1e-8


def cis(angle):
    return np.exp(1j * angle)


@makers
@given(places, sizes, sizes, degrees, tolerances)
def test_ellipses(centre, a, b, angle, tolerance):
    turn = cis(math.radians(angle))
    middle = complex(*centre)
    drawing = shapes.ellipse(centre, a, b, angle=angle, tolerance=tolerance)
    follows(
        drawing,
        lambda t: middle + turn * (a * np.cos(t) + 1j * b * np.sin(t)),
        0,
        2 * math.pi,
        tolerance,
        closed=True,
    )
    follows(
        shapes.circle(centre, a, tolerance=tolerance),
        lambda t: middle + a * cis(t),
        0,
        2 * math.pi,
        tolerance,
        closed=True,
    )


@makers
@given(
    places, sizes, degrees, st.floats(-360, 360).filter(lambda sweep: abs(sweep) > 0.01), tolerances
)
def test_arcs(centre, radius, start, sweep, tolerance):
    drawing = shapes.arc(centre, radius, start=start, sweep=sweep, tolerance=tolerance)
    begin = math.radians(start)
    turn = math.radians(sweep)
    follows(drawing, lambda t: complex(*centre) + radius * cis(begin + turn * t), 0, 1, tolerance)


@makers
@given(st.lists(places, min_size=4, max_size=4), st.sampled_from([2, 3]), tolerances)
def test_beziers(points, degree, tolerance):
    p = [complex(*point) for point in points[: degree + 1]]

    def curve(t):
        return sum(
            math.comb(degree, k) * (1 - t) ** (degree - k) * t**k * p[k] for k in range(degree + 1)
        )

    follows(
        curves.bezier(points[: degree + 1], degree=degree, tolerance=tolerance),
        curve,
        0,
        1,
        tolerance,
    )


@makers
@given(places, st.floats(0.5, 80), st.floats(0.1, 30), st.floats(0, 0.9), degrees, tolerances)
def test_archimedean_spirals(centre, radius, pitch, share, angle, tolerance):
    inner = share * radius
    turns = (1 - share) * radius / pitch
    if turns > 60:
        pitch = (1 - share) * radius / 60
        turns = 60
    drawing = curves.archimedean_spiral(
        centre, radius, pitch=pitch, inner=inner, angle=angle, tolerance=tolerance
    )
    begin = math.radians(angle)

    def curve(t):
        return complex(*centre) + (inner + pitch * t) * cis(begin + 2 * math.pi * t)

    follows(drawing, curve, 0, turns, tolerance)


@makers
@given(places, st.floats(0.5, 80), st.floats(0.001, 0.99), st.floats(0.1, 20), tolerances)
def test_logarithmic_spirals(centre, radius, share, turns, tolerance):
    drawing = curves.logarithmic_spiral(
        centre, radius, inner=share * radius, turns=turns, tolerance=tolerance
    )

    def curve(t):
        return complex(*centre) + share * radius * share ** (-t / turns) * cis(2 * math.pi * t)

    follows(drawing, curve, 0, turns, tolerance)


@makers
@given(places, sizes, sizes, st.integers(1, 12), st.integers(1, 12), degrees, tolerances)
def test_lissajous_figures(centre, width, height, x, y, phase, tolerance):
    drawing = curves.lissajous(centre, width, height, x=x, y=y, phase=phase, tolerance=tolerance)
    ahead = math.radians(phase)
    common = math.gcd(x, y)

    def curve(t):
        return complex(*centre) + width / 2 * np.sin(x * t + ahead) + 0.5j * height * np.sin(y * t)

    follows(drawing, curve, 0, 2 * math.pi / common, tolerance, closed=True)


swings = st.builds(curves.Swing, st.floats(-60, 60), st.floats(0.2, 5), degrees, st.floats(0, 0.3))


@makers
@given(
    places,
    st.lists(swings, min_size=1, max_size=3),
    st.lists(swings, min_size=1, max_size=3),
    st.floats(0.05, 12),
    tolerances,
)
def test_pendulums(centre, x, y, duration, tolerance):
    def curve(t):
        parts = [
            side
            * s.amplitude
            * np.exp(-s.damping * t)
            * np.sin(2 * math.pi * s.frequency * t + math.radians(s.phase))
            for side, group in ((1, x), (1j, y))
            for s in group
        ]
        return complex(*centre) + sum(parts)

    drawing = curves.pendulum(centre, x, y, duration=duration, tolerance=tolerance)
    follows(drawing, curve, 0, duration, tolerance)


@makers
@given(
    places,
    st.integers(1, 20),
    st.integers(1, 20),
    st.one_of(st.none(), st.floats(0, 60)),
    st.sampled_from([-1, 1]),
    tolerances,
)
def test_roulettes_on_circles(centre, fixed, rolling, arm, side, tolerance):
    drawing = (curves.epitrochoid if side == 1 else curves.hypotrochoid)(
        centre, fixed, rolling, arm=arm, tolerance=tolerance
    )
    orbit = fixed + side * rolling
    reach = rolling if arm is None else arm

    def curve(theta):
        return (
            complex(*centre)
            + orbit * cis(theta)
            - side * reach * cis(side * orbit / rolling * theta)
        )

    follows(
        drawing, curve, 0, 2 * math.pi * rolling / math.gcd(fixed, rolling), tolerance, closed=True
    )


@makers
@given(places, sizes, st.floats(0, 3), st.floats(0.05, 5), tolerances)
def test_trochoids(start, radius, share, arches, tolerance):
    drawing = curves.trochoid(start, radius, arm=share * radius, arches=arches, tolerance=tolerance)

    def curve(t):
        return complex(*start) + radius * (t + 1j) - 1j * share * radius * cis(-t)

    follows(drawing, curve, 0, 2 * math.pi * arches, tolerance)


@makers
@given(places, sizes, st.fractions(0, 8, max_denominator=5).filter(bool), tolerances)
def test_roses(centre, radius, k, tolerance):
    period = math.pi * k.denominator * (1 if k.numerator * k.denominator % 2 else 2)
    drawing = curves.rose(centre, radius, k=k, tolerance=tolerance)
    follows(
        drawing,
        lambda t: complex(*centre) + radius * np.cos(float(k) * t) * cis(t),
        0,
        period,
        tolerance,
        closed=True,
    )


@makers
@given(places, sizes, tolerances)
def test_lemniscates(centre, radius, tolerance):
    def curve(t):
        return complex(*centre) + radius * np.cos(t) * (1 + 1j * np.sin(t)) / (1 + np.sin(t) ** 2)

    follows(
        curves.lemniscate(centre, radius, tolerance=tolerance),
        curve,
        0,
        2 * math.pi,
        tolerance,
        closed=True,
    )


@makers
@given(places, sizes, sizes, st.sampled_from([0.3, 0.5, 1, 1.7, 2, 3, 4, 9, 50]), tolerances)
def test_superellipses(centre, a, b, power, tolerance):
    def curve(t):
        c = np.cos(t)
        s = np.sin(t)
        return (
            complex(*centre)
            + a * np.sign(c) * np.abs(c) ** (2 / power)
            + 1j * b * np.sign(s) * np.abs(s) ** (2 / power)
        )

    drawing = curves.superellipse(centre, a, b, power=power, tolerance=tolerance)
    t = spread(0, 2 * math.pi)
    assert drawing.is_closed.all()
    assert (
        farthest(np.column_stack([curve(t).real, curve(t).imag]), drawing[0])
        <= tolerance * (1 + 1e-6) + 1e-9
    )


exponents = st.sampled_from([0.3, 0.5, 1, 1.7, 2, 4.5, 7, 10, 20])


@makers
@given(
    places,
    st.floats(0.05, 30),
    st.integers(1, 12),
    st.floats(0.4, 8),
    exponents,
    exponents,
    tolerances,
)
def test_superformulas(centre, radius, m, n1, n2, n3, tolerance):
    def curve(t):
        far = (np.abs(np.cos(m * t / 4)) ** n2 + np.abs(np.sin(m * t / 4)) ** n3) ** (-1 / n1)
        return complex(*centre) + radius * far * cis(t)

    turns = 1 if m % 2 == 0 or n2 == n3 else 2
    drawing = curves.superformula(centre, radius, m=m, n1=n1, n2=n2, n3=n3, tolerance=tolerance)
    assert drawing.is_closed.all()
    t = spread(0, 2 * math.pi * turns)
    assert (
        farthest(np.column_stack([curve(t).real, curve(t).imag]), drawing[0])
        <= tolerance * (1 + 1e-6) + 1e-9
    )


HOSTILE = {
    "corners": lambda t: t + 1j * np.abs(np.sin(3 * t)),
    "zigzag": lambda t: t + 2j * np.abs(t * 2.3 % 1 - 0.5),
    "cusps": lambda t: np.cos(t) ** 3 + 1j * np.sin(t) ** 3,
    "cusp of higher order": lambda t: t**2 + 1j * t**5 / 9,
    "there and back": lambda t: np.sin(t) * (1 + 2j),
    "stands still for a while": lambda t: np.maximum(t, 1.0) + 1j * np.maximum(t, 1.0) ** 2,
    "root": lambda t: t + 1j * np.sqrt(np.abs(t - 0.3)),
    "waves of all sizes": lambda t: t + 1j * t**2 * np.sin(3 / (np.abs(t) + 0.02)),
    "a bump in a plain": lambda t: t + 1j / (1 + (40 * (t - 0.77)) ** 2),
    "a steep step": lambda t: t + 1j * np.tanh(300 * (t - 0.77)),
    "waves": lambda t: t + 0.1j * np.sin(40 * t),
}


@makers
@given(
    st.sampled_from(sorted(HOSTILE)),
    st.floats(-4, -0.1),
    st.floats(1.1, 4),
    st.floats(0.5, 60),
    st.floats(0, 360),
    st.sampled_from([0.1, 0.02, 0.003]),
)
@example("zigzag", -4.0, 1.1, 5.0, 0.0, 0.02)  # goes back on itself just before an interval's end
@example(
    "waves of all sizes", -1.25, 2.844805980548611, 18.0, 0.0, 0.02
)  # a wave between nine probes
@example("waves of all sizes", -1.9393257799860328, 2.612019938501129, 50.0, 0.0, 0.02)
def test_functions_with_corners_cusps_and_waves(name, t0, t1, scale, turn, tolerance):
    def curve(t):
        return scale * cis(math.radians(turn)) * HOSTILE[name](t)

    drawing = curves.parametric(
        lambda t: (curve(t).real, curve(t).imag), t0, t1, tolerance=tolerance
    )
    t = np.sort(np.concatenate([spread(t0, t1), spread(0.7, 0.85), spread(-0.1, 0.5)]))
    assert (
        farthest(np.column_stack([curve(t).real, curve(t).imag]), drawing[0])
        <= tolerance * (1 + 1e-6) + 1e-9
    )


@makers
@given(st.lists(st.tuples(places, sizes), max_size=20), tolerances)
def test_circles_at_once_are_circles_one_by_one(items, tolerance):
    drawing = shapes.circles(
        np.array([centre for centre, _ in items]).reshape(-1, 2),
        [radius for _, radius in items],
        tolerance=tolerance,
    )
    assert len(drawing) == len(items)
    for stroke, (centre, radius) in zip(drawing, items, strict=True):
        assert (stroke == shapes.circle(centre, radius, tolerance=tolerance)[0]).all()


@makers
@given(places, sizes, sizes, st.floats(0, 1), tolerances)
@example((0.0, 2.0), 1.0, 0.15, 1.0, 0.5)
def test_rectangles_stay_in_their_box(corner, width, height, share, tolerance):
    drawing = shapes.rectangle(
        corner, width, height, radius=share * min(width, height) / 2, tolerance=tolerance
    )
    assert drawing.is_closed.all()
    assert drawing.bounds == shapes.rectangle(corner, width, height).bounds
    assert shapely.Polygon(drawing[0]).is_valid
