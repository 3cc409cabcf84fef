"""Apollonian gaskets: circles that touch each other and fill a disc, or a gap between three."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue

# Rows (bend, bend * x, bend * y), four to a family that touch each other: in this form a circle
# is replaced by its counterpart by one linear rule (complex Descartes theorem).
_MOST = 1_000_000  # circles, some tenths of a second and 100 MB
_DIMENSION = 1.305688  # of the residual set: McMullen, Am. J. Math. 120 (1998), 691-721
_OFTEN = 0.45  # circles / (radius / smallest) ** dimension: 0.39 ... 0.41 over four gaskets
_TOUCHING = 1e-6  # of the radii: how far given circles may be apart


def apollonian(
    centre: ArrayLike,
    radius: float,
    *,
    smallest: float,
    curvatures: Sequence[float] = (2.0, 2.0),
    angle: float = 0.0,
) -> FloatArray:
    """An Apollonian gasket in a circle: into every gap the circle that touches its three sides.

    Parameters
    ----------
    centre : point
        (x, y) of the outer circle in mm.
    radius : float
        Of the outer circle in mm, > 0; it is not among those returned.
    smallest : float
        Least radius in mm, > 0.
    curvatures : (float, float), default (2, 2)
        Of two circles that touch each other and the outer one, times the outer one's: from 1 to
        1,000, and 1/a + 1/b at most 1. (2, 2) gives whole numbers throughout; twice
        ``1 + 2 / sqrt(3)`` begins with three equal circles.
    angle : float, default 0.0
        Where in degrees, seen from the centre, the first of the two lies; the second follows
        counter-clockwise.

    Returns
    -------
    ndarray, shape (n, 3)
        x, y and radius in mm, the largest first; :func:`circles` draws them.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the two circles have no room side by side, or the gasket would
        have more than a million circles.

    Notes
    -----
    Each circle comes from four that touch each other, of curvatures a, b, c, d, by
    ``d' = 2 (a + b + c) - d``, and its centre by the same rule for curvature times centre. Fewer
    than 0.45 (radius / smallest)^1.3057 circles are to be expected.

    References
    ----------
    J. C. Lagarias, C. L. Mallows, A. R. Wilks, *Beyond the Descartes Circle Theorem*, American
    Mathematical Monthly 109, 338-361, 2002.

    Examples
    --------
    >>> gasket = apollonian((50, 50), 30, smallest=2)
    >>> (30 / gasket[:, 2]).round(6).tolist()[:9]
    [2.0, 2.0, 3.0, 3.0, 6.0, 6.0, 6.0, 6.0, 11.0]
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    least = checks.positive("smallest", smallest, unit="mm")
    first, second = _bends(curvatures)
    cosine, sine = affine.cosine_sine(checks.finite("angle", angle, unit="degrees") % 360.0)
    _affordable(least, size)
    family = _root(_family(first, second))
    most = size / least
    large = family[(family[:, 0] > 0) & (family[:, 0] <= most)]
    others = _grown(_counterparts(family[None], range(4), most), most, least)
    found = _as_circles(np.concatenate([large, *others]))
    turned = found[:, :2] @ np.array([[cosine, sine], [-sine, cosine]])
    return np.column_stack([size * turned + place, size * found[:, 2]])


def apollonian_gap(circles: ArrayLike, *, smallest: float) -> FloatArray:
    """The circles of an Apollonian gasket in the gap between three circles that touch.

    Parameters
    ----------
    circles : array-like, shape (3, 3)
        x, y and radius in mm, > 0, of three circles outside each other, each of which touches the
        other two; they are not among those returned.
    smallest : float
        Least radius in mm, > 0.

    Returns
    -------
    ndarray, shape (n, 3)
        x, y and radius in mm, the largest first; none if the gap is too narrow.

    Raises
    ------
    InvalidValue
        If an argument is invalid, two of the circles do not touch to a millionth of their size, or
        there would be more than a million circles.

    Notes
    -----
    The first circle's curvature is ``a + b + c + 2 sqrt(a b + b c + c a)`` (R. Descartes
    1643); the others follow as in :func:`apollonian`.

    References
    ----------
    F. Soddy, *The Kiss Precise*, Nature 137, 1021, 1936.

    Examples
    --------
    >>> coins = [(0, 0, 10), (20, 0, 10), (10, 300**0.5, 10)]
    >>> apollonian_gap(coins, smallest=0.6)[:, 2].round(3).tolist()
    [1.547, 0.628, 0.628, 0.628]
    """
    given = checks.numbers("circles", circles, ndim=2, columns=3)
    least = checks.positive("smallest", smallest, unit="mm")
    _three_that_touch(given)
    size = float(given[:, 2].max())
    middle = given[0, :2]
    bends = size / given[:, 2]
    sides = np.column_stack([bends, bends[:, None] * (given[:, :2] - middle) / size])
    family = np.concatenate([sides, _between(sides)])[None]
    if family[0, 3, 0] > size / least:
        return np.empty((0, 3))
    found = _as_circles(np.concatenate(_grown(family, size / least, least)))
    return np.column_stack([size * found[:, :2] + middle, size * found[:, 2]])


def _bends(curvatures: Sequence[float]) -> tuple[float, float]:
    """Two curvatures of circles that have room side by side in one of curvature 1."""
    given = checks.numbers("curvatures", curvatures, ndim=1)
    if given.shape != (2,):
        raise InvalidValue(
            f"curvatures must be two numbers, got {len(given)}", name="curvatures", value=curvatures
        )
    a, b = (checks.between("curvatures", one, 1.0, 1_000.0) for one in given)
    if 1 / a + 1 / b > 1 + 1e-12:
        raise InvalidValue(
            f"circles of curvatures {a:g} and {b:g} have no room side by side in one of 1: their "
            f"radii {1 / a:.4g} and {1 / b:.4g} come to {1 / a + 1 / b:.4g}; make them more curved",
            name="curvatures",
            value=curvatures,
        )
    return a, b


def _affordable(least: float, size: float) -> None:
    """Foresee the count, before anything is made."""
    share = min(size / least, 1e12)
    expected = _OFTEN * share**_DIMENSION
    remedy = f"take {checks.two_digits(size * (_OFTEN / _MOST) ** (1 / _DIMENSION))} mm or more"
    checks.affordable("smallest", least, expected, _MOST, "circles or so", remedy)


def _family(a: float, b: float) -> FloatArray:
    """The unit circle (bend -1), two of bends ``a`` and ``b`` in it that touch, and one that
    touches all three: shape (4, 3).
    """
    far = 1 - 1 / a
    near = 1 - 1 / b
    cosine = (far**2 + near**2 - (1 / a + 1 / b) ** 2) / (2 * far * near)
    spare = a * b - a - b
    spare = math.sqrt(spare) if spare > 1e-12 * a * b else 0.0  # two across the whole disc
    sine = 2 * spare / ((a - 1) * (b - 1))  # by Heron's formula
    turn = complex(cosine, sine)
    one = complex(a - 1)
    two = (b - 1) * turn / abs(turn)
    c = a + b - 1 - 2 * spare
    root = 2 * (one * two) ** 0.5
    three = min((one + two + root, one + two - root), key=lambda z: abs(abs(z) - (c - 1)))
    rows = [(-1.0, 0.0, 0.0), (a, one.real, one.imag), (b, two.real, two.imag)]
    return np.array([*rows, (c, three.real, three.imag)])


def _root(family: FloatArray) -> FloatArray:
    """The family from which all bends grow: the smallest circle is replaced by its counterpart as
    long as that is larger (reduction of Lagarias, Mallows and Wilks).
    """
    while True:
        last = int(family[:, 0].argmax())
        other = 2 * family.sum(axis=0) - 3 * family[last]
        if not other[0] < family[last, 0] * (1 - 1e-9):
            return family
        family = family.copy()
        family[last] = other


def _counterparts(families: FloatArray, which: Sequence[int], most: float) -> FloatArray:
    """Families (m, 4, 3) in which one of ``which`` was replaced by the other circle that touches
    the three that stay, no more curved than ``most``; the new one is last.
    """
    total = families.sum(axis=1)
    found = []
    for place in which:
        new = 2 * total - 3 * families[:, place]
        kept = new[:, 0] <= most
        family = families[kept]
        family[:, place] = family[:, 3]
        family[:, 3] = new[kept]
        found.append(family)
    return np.concatenate(found)


def _grown(families: FloatArray, most: float, least: float) -> list[FloatArray]:
    """The last circles of ``families`` and of all that come from them, one array a generation."""
    found = []
    count = 0
    while len(families):
        found.append(families[:, 3])
        count += len(families)
        checks.affordable("smallest", least, count, _MOST, "circles and more", "take a larger one")
        families = _counterparts(families, range(3), most)
    return found


def _as_circles(rows: FloatArray) -> FloatArray:
    """x, y and radius of rows (bend, bend x, bend y), the largest first."""
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    return np.column_stack([rows[:, 1:] / rows[:, :1], 1 / rows[:, 0]])


def _three_that_touch(circles: FloatArray) -> None:
    if circles.shape != (3, 3) or (circles[:, 2] <= 0).any() or (np.abs(circles) > 1e6).any():
        raise InvalidValue(
            f"circles must be (3, 3): x, y and a radius above 0 of three circles, within 1e6 mm; "
            f"got {circles!r:.200}",
            name="circles",
        )
    for i, k in ((0, 1), (1, 2), (2, 0)):
        reach = circles[i, 2] + circles[k, 2]
        gap = math.dist(circles[i, :2], circles[k, :2]) - reach
        if abs(gap) > _TOUCHING * reach:
            state = "apart" if gap > 0 else "into each other"
            raise InvalidValue(
                f"circles {i} and {k} must touch; they are {abs(gap):.6g} mm {state}",
                name="circles",
                pair=(i, k),
                gap=gap,
            )


def _between(sides: FloatArray) -> FloatArray:
    """The circle in the gap between three, shape (1, 3)."""
    a, b, c = sides[:, 0]
    bend = a + b + c + 2 * math.sqrt(a * b + b * c + c * a)
    one, two, three = sides[:, 1] + 1j * sides[:, 2]
    root = 2 * (one * two + two * three + three * one) ** 0.5
    middle = one + two + three

    def off(z: complex) -> float:
        """How far the circle is from touching: distances to the three sides."""
        away = np.abs(z / bend - np.array([one / a, two / b, three / c]))
        return float(np.abs(away - 1 / bend - 1 / sides[:, 0]).sum())

    best = min((middle + root, middle - root), key=off)
    return np.array([[bend, best.real, best.imag]])
