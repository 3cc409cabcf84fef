"""Stippling: dots whose number on the mm² follows the tone, evenly spread."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE, circle_chords, unit_circle
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing
from plotlib.images.diffusing import diffused
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage

_MOST = 1_000_000  # dots
_ROUNDS = 30
_MOST_ROUNDS = 1_000
_BAND = 500_000  # pixels between two looks at the clock
_FULL = 0.4  # dots that the fullest pixel of the first scattering may have
_PIXELS = 24  # in the smallest cell at least, so that dots do not fall into rows
_BEYOND = 20  # pixels beyond the edge, where error diffusion loses some
_WHITE = 1e-3  # coverage below which nothing is drawn

# Coverage of dots that keep their distance, by the summed area of the dots on a unit of paper:
# below 0.65 none overlap. Measured: `python tests/benchmarks/images.py response`.
_SUMMED = (0.0, 0.65, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4, 1.6, 2.0)
_COVERED = (0.0, 0.65, 0.695, 0.788, 0.866, 0.923, 0.984, 0.9976, 0.9999, 1.0)
_MOST_SUMMED = 1.4


def stipple(
    tone: Tone,
    *,
    count: int | None = None,
    radius: float = 0.0,
    rounds: int = _ROUNDS,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Stippling by weighted Voronoi relaxation: dots that lie the closer the darker the tone, each
    at an even distance from its neighbours.

    Parameters
    ----------
    tone : Tone
        The picture; the dots stay in its rectangle.
    count : int, optional
        How many dots, 1 … 1,000,000. When not given: as many as the tone needs with this pen;
        with another number it is met in proportion only.
    radius : float, default 0
        Of small circles in mm; 0 for dots, strokes of one point, as wide as the pen. Circles of up
        to half the pen's width are full dots, larger ones rings.
    rounds : int, default 30
        Rounds of the relaxation, 0 … 1,000; each takes every dot to the centroid of its cell.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where the first dots lie.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        One stroke for each dot, row by row, every second row backwards. Iterative: on other
        processors dots may lie elsewhere by rounding.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the tone needs more than a million dots.

    References
    ----------
    A. Secord, *Weighted Voronoi Stippling*, NPAR 2002, 37-43. Cells settle where the number of
    points goes with the root of the weight (A. Gersho, *Asymptotically Optimal Block Quantization*,
    IEEE Transactions on Information Theory 25, 1979), so the weight is the square of the density.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> grey = Tone([[0.5]], (0, 0, 20, 20))
    >>> dots = stipple(grey, pen=Pen("black", width=1))
    >>> round(len(dots) * math.pi * 0.5**2 / 400, 2)
    0.5
    """
    picture = as_tone("tone", tone)
    number = None if count is None else checks.whole("count", count, low=1, high=_MOST)
    size = checks.not_negative("radius", radius, unit="mm")
    turns = checks.whole("rounds", rounds, low=0, high=_MOST_ROUNDS)
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    line = as_pen(pen)
    density = dot_density(picture, model, line.width, size)
    if number is None:
        total = float(density.values.sum()) * density.cell_x * density.cell_y
        affordable(total, _MOST, "dots", picture)
        number = round(total)
    places = stippled(density, number, turns, random)
    return _drawn(places, size, line, picture)


def dot_density(tone: Tone, ink: InkModel, width: float, radius: float) -> Wanted:
    """Dots on a mm² for a tone, on cells so fine that the smallest distance is seen."""
    reach = radius + width / 2
    disc = math.pi * reach**2
    inked = disc - math.pi * max(0.0, radius - width / 2) ** 2
    closest = math.sqrt(disc / _MOST_SUMMED)
    asked = wanted(tone, ink, closest / math.sqrt(_PIXELS))
    summed = np.interp(np.minimum(asked.values * disc / inked, _COVERED[-3]), _COVERED, _SUMMED)
    return asked.replaced(np.where(asked.values < _WHITE, 0.0, summed / disc))


class Relaxed(NamedTuple):
    """Points after one round, and the energy with which the round began."""

    points: FloatArray
    energy: float


def stippled(density: Wanted, count: int, rounds: int, random: np.random.Generator) -> FloatArray:
    """Points (n, 2) in mm, about as dense as asked; none where the density is 0."""
    if count == 0 or not density.values.any():
        return np.empty((0, 2))
    points = scattered(density, count, random)
    weights = density.values**2 / max(float((density.values**2).max()), 1e-300)
    with stage("stippling") as work:
        for k in range(rounds):
            points = relaxed(density.replaced(weights), points).points
            work.done((k + 1) / rounds)
    corner = np.array([density.left, density.bottom])
    return np.asarray(_on_ink(density, points) + corner)


def scattered(density: Wanted, count: int, random: np.random.Generator) -> FloatArray:
    """So many points from the lower left corner, by error diffusion and a little chance."""
    values = density.values
    chances = values.ravel() / values.sum()
    full = min(1.0, _FULL / (count * float(chances.max())))
    # error diffusion places one point in a pixel at most: the rest is drawn by lot
    share = count * full * (values / values.sum())
    # a little chance keeps it from regular patterns, which no relaxation would leave
    wide = np.pad(share, _BEYOND, mode="symmetric")
    full_pixels = diffused(wide * random.uniform(0.5, 1.5, wide.shape))
    chosen = np.flatnonzero(full_pixels[_BEYOND:-_BEYOND, _BEYOND:-_BEYOND])
    missing = count - len(chosen)
    if missing > 0:
        chosen = np.append(chosen, random.choice(values.size, missing, p=chances))
    elif missing < 0:
        chosen = random.choice(chosen, count, replace=False)
    rows, columns = np.divmod(np.sort(chosen), values.shape[1])
    inside = random.random((count, 2))
    x = (columns + inside[:, 0]) * density.cell_x
    y = (rows + inside[:, 1]) * density.cell_y
    return np.stack([x, y], axis=1)


def relaxed(weights: Wanted, points: FloatArray) -> Relaxed:
    """One round: every point at the centroid of its cell. A point without weight stays."""
    from plotlib.images.voronoi_kernel import sorted_sites, tally

    sites, _ = sorted_sites(points, *weights.size)
    sums = np.zeros((len(points), 3))
    energy = 0.0
    rows, columns = weights.values.shape
    band = max(1, _BAND // columns)
    for first in range(0, rows, band):
        last = min(first + band, rows)
        energy += tally(weights.values, first, last, weights.cell_x, weights.cell_y, sites, sums)
    has_weight = sums[:, 0] > 0
    moved = sites.points.copy()
    moved[has_weight] = sums[has_weight, 1:] / sums[has_weight, :1]
    return Relaxed(moved, energy)


def _on_ink(density: Wanted, points: FloatArray) -> FloatArray:
    """Those points that do not lie on white."""
    rows, columns = density.values.shape
    column = np.clip((points[:, 0] / density.cell_x).astype(np.int64), 0, columns - 1)
    row = np.clip((points[:, 1] / density.cell_y).astype(np.int64), 0, rows - 1)
    return points[density.values[row, column] > 0]


def _drawn(places: FloatArray, radius: float, pen: Pen, tone: Tone) -> Drawing:
    """Dots or circles row by row, to and fro; circles of which no part leaves the rectangle."""
    places = places[in_rows(places, 4 * pen.width)]
    if not radius:
        return Drawing.from_arrays(places, np.arange(len(places) + 1), pen=pen)
    left, bottom, right, top = tone.extent
    ring = radius * unit_circle(int(circle_chords(radius, TOLERANCE)))
    low = np.minimum([left + radius, bottom + radius], [(left + right) / 2, (bottom + top) / 2])
    high = np.maximum([right - radius, top - radius], [(left + right) / 2, (bottom + top) / 2])
    fits = 2 * radius <= min(right - left, top - bottom)
    places = np.clip(places, low, high) if fits else places[:0]
    points = (places[:, None] + ring).reshape(-1, 2)
    return Drawing.from_arrays(points, np.arange(len(places) + 1) * len(ring), pen=pen)


def in_rows(places: FloatArray, height: float) -> IntArray:
    """An order of points in rows of so many mm, from below, every second one backwards."""
    if not len(places):
        return np.empty(0, np.int64)
    row = np.floor((places[:, 1] - places[:, 1].min()) / height).astype(np.int64)
    along = np.where(row % 2 == 0, places[:, 0], -places[:, 0])
    return np.lexsort((along, row))
