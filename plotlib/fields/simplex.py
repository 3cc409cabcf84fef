"""Simplex noise as a scalar field in millimetres, through the package ``noise``."""

from __future__ import annotations

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray, Seed
from plotlib.errors import InvalidValue
from plotlib.fields.scalar import ScalarField

_FARTHEST = 1e5  # cells, in the finest octave: the package counts in float32
# cells; its own ``base`` for seeds reads beyond its tables, so seeds move the origin instead
_SHIFT = 1000.0
# cells of the central difference: float32 rounds at 1e-7, so a shorter step would only measure that
_STEP = 1e-2


def simplex(
    *,
    scale: float,
    seed: Seed = 0,
    octaves: int = 1,
    persistence: float = 0.5,
    lacunarity: float = 2.0,
) -> ScalarField:
    """Simplex noise: without the square grain of Perlin noise, but in float32 and with approximate
    slopes.

    Parameters
    ----------
    scale : float
        Size in mm of a cell of the first octave.
    seed : int or numpy Generator, default 0
        Where in the noise the origin lies.
    octaves : int, default 1
        How many layers are added, 1 … 16.
    persistence, lacunarity : float
        How much weaker (0 < persistence <= 1) and finer (>= 1) each octave is.

    Returns
    -------
    ScalarField
        Numbers within -1 … 1 for one octave, with slopes by central differences over 1/100 of a
        cell.

    Raises
    ------
    MissingPackage
        If the package ``noise`` (extra "noise") is not installed.
    InvalidValue
        If an argument is invalid, or the octaves are finer than float32 resolves. When the field is
        asked: if a point is more than 100,000 cells of the finest octave from the origin.

    References
    ----------
    K. Perlin, *Noise Hardware*, SIGGRAPH course notes, 2001; S. Gustavson, *Simplex Noise
    Demystified*, Linköping University 2005 (both from memory).

    Examples
    --------
    >>> field = simplex(scale=10, seed=3)
    >>> bool(abs(field(12, 34)) <= 1)
    True
    """
    noise = checks.package("noise", install="noise", use="simplex noise")
    cell = checks.positive("scale", scale, unit="mm")
    count = checks.whole("octaves", octaves, low=1, high=16)
    weaker = checks.between("persistence", persistence, 1e-6, 1.0)
    finer = checks.between("lacunarity", lacunarity, 1.0, 1e3)
    shift = checks.generator(seed).uniform(-_SHIFT, _SHIFT, 2)
    ask = np.frompyfunc(lambda x, y: noise.snoise2(x, y, count, weaker, finer), 2, 1)
    limit = _FARTHEST / finer ** (count - 1)
    if limit <= 2 * _SHIFT:
        raise InvalidValue(
            f"{count} octaves of lacunarity {finer:g} are finer than float32 resolves; take fewer "
            f"octaves",
            octaves=count,
        )

    def value(x: FloatArray, y: FloatArray) -> FloatArray:
        across = x / cell + shift[0]
        up = y / cell + shift[1]
        for array in (across, up):
            if not (np.abs(array) < limit).all():
                raise InvalidValue(
                    f"simplex noise was asked beyond {(limit - _SHIFT) * cell:.3g} mm, where "
                    f"float32 shows at this scale"
                )
        return np.asarray(ask(across, up), np.float64)

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        h = _STEP * cell
        return (
            value(x, y),
            (value(x + h, y) - value(x - h, y)) / (2 * h),
            (value(x, y + h) - value(x, y - h)) / (2 * h),
        )

    return ScalarField(value, jet)
