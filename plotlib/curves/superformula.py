"""The superformula."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE, circle_chords, enough, unit_circle
from plotlib.checks import FloatArray
from plotlib.curves.making import ratio, single, traced, turning
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

_STEEPEST = 1e6  # exponents and stretches beyond it give jumps and nothing else


def superformula(
    centre: ArrayLike,
    radius: float,
    *,
    m: float,
    n1: float,
    n2: float,
    n3: float,
    a: float = 1.0,
    b: float = 1.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """The superformula of Gielis: a closed curve given by its distance in every direction φ.

    The distance is ``radius * (|cos(m φ / 4) / a| ** n2 + |sin(m φ / 4) / b| ** n3) ** (-1 / n1)``.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        The distance to the right in mm when ``a`` is 1, > 0.
    m : float or Fraction
        How many times the form repeats around the centre, >= 0; 0 gives a circle.
    n1, n2, n3 : float
        The exponents; ``n1`` must not be 0.
    a, b : float, default 1.0
        Factors that stretch the two parts of the sum, > 0.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise from the right, with the corners exactly on points.

    Raises
    ------
    InvalidValue
        If an argument is invalid or out of range, ``m`` is not a fraction of whole numbers up
        to 10,000, or the form reaches infinity.

    References
    ----------
    J. Gielis, *A generic geometric transformation that unifies a wide range of natural and abstract
    shapes*, American Journal of Botany 90(3), 333-338, 2003.

    Examples
    --------
    >>> superformula((0, 0), 30, m=5, n1=0.3, n2=0.3, n3=0.3).is_closed.tolist()
    [True]
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    power = {
        name: checks.between(name, value, -_STEEPEST, _STEEPEST)
        for name, value in [("n1", n1), ("n2", n2), ("n3", n3)]
    }
    wide = checks.between("a", checks.positive("a", a), 1 / _STEEPEST, _STEEPEST)
    high = checks.between("b", checks.positive("b", b), 1 / _STEEPEST, _STEEPEST)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    if power["n1"] == 0.0:
        raise InvalidValue("n1 must not be 0", name="n1", value=n1)
    repeat = ratio("m", checks.not_negative("m", m), otherwise="take a fraction of smaller numbers")

    def distance(t: FloatArray) -> FloatArray:
        c, s = _cosine_sine(t)
        with np.errstate(all="ignore"):  # negative exponents make infinities, which may cancel
            total = (c / wide) ** power["n2"] + (s / high) ** power["n3"]
            return np.asarray(size * total ** (-1.0 / power["n1"]))

    if repeat == 0:
        return _circle(float(distance(np.zeros(1))[0]), place, limit, pen)
    quarters = _quarters(repeat, power["n2"] == power["n3"] and wide == high)
    fine = max(8, math.ceil(16 / repeat))
    enough(quarters * fine, limit)
    angle = 2 * math.pi / float(repeat)
    return traced(
        lambda t: turning(t * angle, distance(t)),
        np.arange(quarters * fine + 1) / fine,
        at=place,
        tolerance=limit,
        closed=True,
        pen=pen,
    )


def _cosine_sine(t: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The sizes of cosine and sine after ``t`` quarter turns of the form: exactly 0 at whole ones,
    where it has its corners.
    """
    quarter, rest = np.divmod(t, 1.0)
    c = np.cos(0.5 * math.pi * rest)
    s = np.sin(0.5 * math.pi * rest)
    is_odd = quarter % 2 == 1
    return np.where(is_odd, s, c), np.where(is_odd, c, s)


def _quarters(repeat: Fraction, symmetric: bool) -> int:
    """After how many quarter turns of the form the curve closes: whole turns of the plane and whole
    half turns of the form.
    """
    period = 1 if symmetric else 2
    turns = period * repeat.denominator // math.gcd(repeat.numerator, period * repeat.denominator)
    return turns * repeat.numerator // repeat.denominator


def _circle(
    radius: float, centre: tuple[float, float], tolerance: float, pen: Pen | None
) -> Drawing:
    """What remains when the form does not repeat."""
    size = checks.positive("the radius of the circle that m = 0 gives", radius, unit="mm")
    return single(unit_circle(int(circle_chords(size, tolerance))) * size + centre, pen)
