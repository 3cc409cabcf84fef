"""Figures of two oscillations at right angles: Lissajous figures, and those of damped pendulums."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE
from plotlib.checks import FloatArray
from plotlib.curves.making import MOST_LAPS, evenly, traced
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

_PER_SWING = 8  # pieces of 45 degrees, where ``adaptive`` asks for no more than a right angle


def lissajous(
    centre: ArrayLike,
    width: float,
    height: float,
    *,
    x: int,
    y: int,
    phase: float = 90.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A Lissajous figure: ``width / 2 * sin(x t + phase)`` across, ``height / 2 * sin(y t)`` up.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    width, height : float
        Of the box that it fills, in mm, > 0.
    x, y : int
        The two frequencies, whole numbers from 1; a common divisor is taken out.
    phase : float, default 90.0
        By how many degrees the swing across is ahead.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, a whole period.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``tolerance`` is so small that the figure needs more
        than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> lissajous((50, 50), 80, 60, x=3, y=2).is_closed.tolist()
    [True]
    """
    place = checks.point("centre", centre)
    across = checks.positive("width", width, unit="mm") / 2
    up = checks.positive("height", height, unit="mm") / 2
    a = checks.whole("x", x, low=1, high=MOST_LAPS)
    b = checks.whole("y", y, low=1, high=MOST_LAPS)
    common = math.gcd(a, b)
    a //= common
    b //= common
    ahead = math.radians(checks.finite("phase", phase, unit="degrees"))
    limit = checks.positive("tolerance", tolerance, unit="mm")
    return traced(
        lambda t: np.column_stack([across * np.sin(a * t + ahead), up * np.sin(b * t)]),
        _with_extremes(a, b, ahead, limit),
        at=place,
        tolerance=limit,
        closed=True,
        pen=pen,
    )


def _with_extremes(a: int, b: int, ahead: float, tolerance: float) -> FloatArray:
    """Parameters over a period, among them those where the figure touches its box, so that its
    bounds are exact.
    """
    right = (math.pi * (np.arange(2 * a) + 0.5) - ahead) / a % (2 * math.pi)
    up = math.pi * (np.arange(2 * b) + 0.5) / b
    breaks = np.sort(np.concatenate([right, up, evenly(0.0, 2 * math.pi, _PER_SWING * max(a, b))]))
    return np.asarray(breaks[np.concatenate([[True], np.diff(breaks) > 1e-9])])


@dataclass(frozen=True)
class Swing:
    """One damped oscillation: ``amplitude * sin(360 frequency t + phase) * exp(-damping t)``, the
    angle in degrees.

    Parameters
    ----------
    amplitude : float
        In mm, at the start.
    frequency : float
        Swings in a unit of time, > 0.
    phase : float, default 0.0
        In degrees, at the start.
    damping : float, default 0.0
        By how much the logarithm of the amplitude falls in a unit of time, >= 0.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> Swing(40, 2.01, damping=0.02)
    Swing(amplitude=40.0, frequency=2.01, phase=0.0, damping=0.02)
    """

    amplitude: float
    frequency: float
    phase: float = 0.0
    damping: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "amplitude", checks.finite("amplitude", self.amplitude, unit="mm"))
        object.__setattr__(self, "frequency", checks.positive("frequency", self.frequency))
        object.__setattr__(self, "phase", checks.finite("phase", self.phase, unit="degrees"))
        object.__setattr__(self, "damping", checks.not_negative("damping", self.damping))

    def at(self, t: FloatArray) -> FloatArray:
        """The displacement at given times.

        Parameters
        ----------
        t : array-like (n,)
            Times, in the unit that ``frequency`` counts in.

        Returns
        -------
        float array (n,)
            The displacement in mm.

        Raises
        ------
        InvalidValue
            If ``t`` does not hold finite numbers.

        Examples
        --------
        >>> import numpy as np
        >>> Swing(40, 1).at(np.array([0.0, 0.25])).tolist()
        [0.0, 40.0]
        """
        return self._displacement(checks.numbers("t", t))

    def _displacement(self, t: FloatArray) -> FloatArray:
        angle = 2 * math.pi * self.frequency * t + math.radians(self.phase)
        return np.asarray(self.amplitude * np.exp(-self.damping * t) * np.sin(angle))


def pendulum(
    centre: ArrayLike,
    x: Swing | Sequence[Swing],
    y: Swing | Sequence[Swing],
    *,
    duration: float,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """The figure of damped pendulums: some move the pen across, others up.

    Parameters
    ----------
    centre : point
        Where the pen comes to rest, in mm.
    x, y : Swing or sequence of Swings
        What adds up to the displacement across, and up.
    duration : float
        How long they swing, > 0, in the unit of time that the swings' frequencies use.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``x`` or ``y`` holds anything but Swings, or the figure
        needs more than 5 million points.

    References
    ----------
    A. Ashton, *Harmonograph: A Visual Guide to the Mathematics of Music*, Wooden Books 2003 (from
    memory).

    Examples
    --------
    >>> across = Swing(60, 2, damping=0.02)
    >>> up = Swing(60, 3.01, phase=90, damping=0.02)
    >>> figure = pendulum((100, 70), across, up, duration=50)
    >>> len(figure)
    1
    """
    place = checks.point("centre", centre)
    until = checks.positive("duration", duration)
    across = _swings("x", x)
    up = _swings("y", y)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    quickest = max(swing.frequency for swing in across + up)
    cause = (f"frequency = {quickest:g} with duration", until)
    breaks = evenly(0.0, until, _PER_SWING * until * quickest, cause)
    return traced(
        lambda t: np.column_stack([_sum(across, t), _sum(up, t)]),
        breaks,
        at=place,
        tolerance=limit,
        pen=pen,
    )


def _swings(name: str, value: object) -> tuple[Swing, ...]:
    swings: tuple[Swing, ...] = ()
    if isinstance(value, Swing):
        swings = (value,)
    elif isinstance(value, Sequence):
        swings = tuple(value)
    if not swings or not all(isinstance(swing, Swing) for swing in swings):
        raise InvalidValue(
            f"{name} must be a Swing or a sequence of Swings, got {value!r:.200}",
            name=name,
            value=value,
        )
    return swings


def _sum(swings: Sequence[Swing], t: FloatArray) -> FloatArray:
    total = np.zeros(len(t))
    for swing in swings:
        total += swing._displacement(t)
    return total
