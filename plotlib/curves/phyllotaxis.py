"""Phyllotaxis: the order of the seeds in a flower head."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE
from plotlib.curves.making import turning
from plotlib.drawing import Drawing
from plotlib.pen import Pen
from plotlib.shapes.round import circles
from plotlib.shapes.straight import dots

GOLDEN_ANGLE = 180.0 * (3.0 - math.sqrt(5.0))


def phyllotaxis(
    centre: ArrayLike,
    count: int,
    *,
    scale: float,
    angle: float = GOLDEN_ANGLE,
    radii: ArrayLike | None = None,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """Seeds of a flower head: number k at the distance ``scale * sqrt(k)`` in the direction ``k *
    angle``.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    count : int
        How many seeds, k = 1 … count.
    scale : float
        In mm, > 0. With the golden angle the nearest neighbours are 1.6 to 1.8 times as far apart.
    angle : float, default 137.507764…
        From seed to seed in degrees; the golden angle spreads them most evenly.
    radii : float or array-like (count,), optional
        Draws circles of these radii in mm instead of dots.
    tolerance : float, default 0.02
        Greatest distance in mm between a circle and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        A dot or a closed stroke for each seed, from the centre outwards.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``count`` is not from 0 to 1,000,000, or ``radii`` does not
        fit it in number.

    References
    ----------
    H. Vogel, *A better way to construct the sunflower head*, Mathematical Biosciences 44, 1979.

    Examples
    --------
    >>> phyllotaxis((0, 0), 300, scale=2)[2][0].round(4).tolist()
    [2.1077, 2.7491]
    """
    place = checks.point("centre", centre)
    k = np.arange(1, checks.whole("count", count, low=0, high=1_000_000) + 1)
    step = checks.finite("angle", angle, unit="degrees")
    fine = checks.positive("tolerance", tolerance, unit="mm")
    seeds = (
        turning(
            np.radians(np.fmod(k * step, 360.0)),
            checks.positive("scale", scale, unit="mm") * np.sqrt(k),
        )
        + place
    )
    return dots(seeds, pen=pen) if radii is None else circles(seeds, radii, tolerance=fine, pen=pen)
