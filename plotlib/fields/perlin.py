"""Perlin noise as a scalar field in millimetres."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray, Seed
from plotlib.errors import InvalidValue
from plotlib.fields import lattice
from plotlib.fields.scalar import ScalarField

_FARTHEST = 2.0**40  # cells from the origin; farther out float64 keeps too few digits within a cell


def perlin(
    *,
    scale: float,
    seed: Seed = 0,
    octaves: int = 1,
    persistence: float = 0.5,
    lacunarity: float = 2.0,
    height: float = 0.0,
    tile: tuple[float, float] | None = None,
) -> ScalarField:
    """Smooth noise: the published gradient noise of 2002, in float64, with exact slopes.

    Parameters
    ----------
    scale : float
        Size in mm of a cell of the first octave; hills are about that wide.
    seed : int or numpy Generator, default 0
        Seed 0 has the permutation that the paper prints; others shuffle it.
    octaves : int, default 1
        How many layers are added, 1 … 16, each finer than the one before, with a permutation and an
        offset of its own.
    persistence : float, default 0.5
        How much weaker each octave is, 0 < persistence <= 1.
    lacunarity : float, default 2
        How much finer each octave is, >= 1.
    height : float, default 0
        The third coordinate, in cells of the first octave: drawings of nearby heights resemble each
        other.
    tile : (float, float), optional
        Width and height in mm after which the field repeats, whole multiples of ``scale`` (and then
        ``lacunarity`` must be whole); otherwise it repeats after 256 cells.

    Returns
    -------
    ScalarField
        One octave stays within 1.0364 of 0 (1.0 at whole heights); n octaves within (1 +
        persistence + …) times that.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or a tile is not a whole number of cells. When the field is
        asked: if a point is more than 2⁴⁰ cells of the finest octave from the origin.

    References
    ----------
    K. Perlin, *Improving Noise*, SIGGRAPH 2002.

    Examples
    --------
    >>> field = perlin(scale=10)
    >>> round(field(1, 2), 12)
    0.045104
    >>> field(20, -30)
    0.0
    """
    scale = checks.positive("scale", scale, unit="mm")
    count = checks.whole("octaves", octaves, low=1, high=16)
    weaker = checks.between("persistence", persistence, 1e-9, 1.0)
    finer = checks.between("lacunarity", lacunarity, 1.0, 1e6)
    rise = checks.between("height", height, -1e6, 1e6)
    period = _period(tile, scale, finer)
    base = (
        int(seed.integers(1, 2**62))
        if isinstance(seed, np.random.Generator)
        else checks.whole("seed", seed, low=0)
    )
    layers = [_Octave(k, base, scale, weaker**k, finer**k, rise, period) for k in range(count)]
    return ScalarField(lambda x, y: _value(layers, x, y), lambda x, y: _jet(layers, x, y))


class _Octave:
    """One layer of the sum: its tables, its offset and its weight."""

    def __init__(
        self,
        number: int,
        seed: int,
        scale: float,
        weight: float,
        finer: float,
        height: float,
        period: tuple[int, int],
    ) -> None:
        generator = np.random.default_rng([seed, number])
        shuffled = generator.permutation(256)
        self.offset = generator.uniform(0.0, 256.0, 3)
        if number == 0:
            shuffled = lattice.PUBLISHED if seed == 0 else shuffled
            self.offset = np.zeros(3)
        self.frequency = finer / scale
        self.weight = weight
        repeat = period
        if period != (256, 256):
            repeat = (round(period[0] * finer), round(period[1] * finer))
        # whole heights stay on a layer of lattice points: half the work
        z = height * finer + self.offset[2] * (height % 1 != 0)
        layer = math.floor(z)
        above = z - layer
        low = lattice.plane(shuffled, lattice.DIRECTIONS, layer, above, repeat)
        high = lattice.plane(shuffled, lattice.DIRECTIONS, layer + 1, above - 1.0, repeat)
        self.planes: tuple[lattice.Plane, ...] = (low, high) if above else (low,)
        self.blend = float(lattice.fade(above))

    def at(self, x: FloatArray, y: FloatArray, *, slopes: bool) -> tuple[FloatArray, ...]:
        """Weighted numbers, and with ``slopes`` the slopes per mm."""
        across = x * self.frequency + self.offset[0]
        up = y * self.frequency + self.offset[1]
        parts = lattice.noise(self.planes, self.blend, across, up, slopes=slopes)
        for part, factor in zip(
            parts,
            (self.weight, self.weight * self.frequency, self.weight * self.frequency),
            strict=False,
        ):
            part *= factor
        return parts


def _value(layers: list[_Octave], x: FloatArray, y: FloatArray) -> FloatArray:
    _within_reach(layers[-1].frequency, x, y)
    total = layers[0].at(x, y, slopes=False)[0]
    for layer in layers[1:]:
        total += layer.at(x, y, slopes=False)[0]
    return total


def _jet(
    layers: list[_Octave], x: FloatArray, y: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    _within_reach(layers[-1].frequency, x, y)
    f, fx, fy = layers[0].at(x, y, slopes=True)
    for layer in layers[1:]:
        for total, part in zip((f, fx, fy), layer.at(x, y, slopes=True), strict=True):
            total += part
    return f, fx, fy


def _within_reach(frequency: float, x: FloatArray, y: FloatArray) -> None:
    limit = _FARTHEST / frequency
    for name, array in (("x", x), ("y", y)):
        if not (np.abs(array) <= limit).all():
            worst = float(array.flat[int(np.argmax(~(np.abs(array) <= limit)))])
            raise InvalidValue(
                f"Perlin noise is asked for at {name} = {worst:g} mm; it reaches {limit:.3g} mm "
                f"at this scale",
                value=worst,
            )


def _period(tile: tuple[float, float] | None, scale: float, finer: float) -> tuple[int, int]:
    if tile is None:
        return 256, 256
    cells = [side / scale for side in checks.point("tile", tile)]
    whole = [round(cell) for cell in cells]
    if any(
        abs(cell - near) > 1e-9 * max(1.0, cell) or near < 1
        for cell, near in zip(cells, whole, strict=True)
    ):
        mended = " x ".join(f"{max(near, 1) * scale:g}" for near in whole)
        raise InvalidValue(
            f"a tile of {tile[0]:g} x {tile[1]:g} mm is no whole number of cells of {scale:g} mm; "
            f"{mended} mm is",
            tile=tile,
        )
    if finer != int(finer):
        raise InvalidValue(
            f"a field that tiles needs a whole lacunarity, got {finer:g}", lacunarity=finer
        )
    return whole[0], whole[1]
