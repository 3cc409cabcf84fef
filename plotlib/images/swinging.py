"""Lines that swing to and fro about a track: the wider and faster, the darker."""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

import numpy as np

from plotlib.arrays import ragged, reshape
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.images.breaking import runs, thresholds
from plotlib.images.printing import printed
from plotlib.images.sampling import at
from plotlib.images.wanted import Wanted
from plotlib.pen import Pen

STEP = 0.12  # pen widths between samples along a track: nine in the shortest swing
_SHORTEST = 1.1  # pen widths of the shortest swing: both its lines overlap a little
_LONGEST = 2.0  # spacings of the longest swing
_WHITE = 0.004  # coverage below which nothing is drawn
_TABLE = 25  # swings measured
_PATCH = 8  # rows of the patch that is measured
_DASH = 6.0  # spacings between two places where a line may begin at another tone
_TOLERANCE = 0.02  # mm


class Track(NamedTuple):
    """Samples along the middle lines of some rows, a fixed step apart."""

    points: FloatArray  # (n, 2) in mm
    normals: FloatArray  # (n, 2) unit vectors to the left
    row: IntArray  # (n,) the row of each sample
    step: float  # mm between samples


class Swing(NamedTuple):
    """Tables: the coverage of a swing, how far it goes to each side, and its length."""

    coverage: FloatArray
    amplitude: FloatArray
    frequency: FloatArray  # swings on a mm

    def at(self, coverage: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Amplitude and frequency for coverages."""
        amplitude = np.interp(coverage, self.coverage, self.amplitude)
        frequency = np.interp(coverage, self.coverage, self.frequency)
        return amplitude, frequency


@functools.lru_cache(maxsize=16)
def swing(width: float, apart: float, reach: float) -> Swing:
    """Swings for a pen and rows so far apart, from a straight line to one that reaches ``reach``
    mm to each side and nearly touches itself; each is drawn and its print measured.
    """
    share = np.linspace(0.0, 1.0, _TABLE)
    amplitude = reach * np.sqrt(share)
    shortest = _SHORTEST * width
    slow = 1.0 / max(_LONGEST * apart, shortest)
    frequency = slow + (1.0 / shortest - slow) * share**1.5
    coverage = [_measured(width, apart, a, f) for a, f in zip(amplitude, frequency, strict=True)]
    return Swing(np.maximum.accumulate(np.array(coverage)), amplitude, frequency)


def _measured(width: float, apart: float, amplitude: float, frequency: float) -> float:
    """Coverage of rows that all swing alike, far from their ends."""
    length = 8 * _PATCH * apart
    along = np.arange(-apart, length + apart, STEP * width)
    rows = np.arange(-1, _PATCH + 1)
    phase = 2 * math.pi * frequency * along[None, :] + 2.4 * rows[:, None]
    up = (rows[:, None] + 0.5) * apart + amplitude * np.sin(phase)
    points = np.stack([np.broadcast_to(along, up.shape), up], axis=2)
    extent = (0.0, 0.0, length, _PATCH * apart)
    drawing = Drawing(points, pen=Pen("pen", width))
    return float(printed(drawing, extent, _PATCH, 8 * _PATCH * _PATCH).mean())


def swung(
    track: Track,
    demand: Wanted,
    asked: Wanted,
    swings: Swing,
    pen: Pen,
    random: np.random.Generator,
) -> Drawing:
    """Strokes along a track that have the coverage ``demand``; nothing where ``asked`` is white.

    Tones lighter than a straight line are met by leaving out pieces of it.
    """
    share = at(demand, track.points)
    straight = float(swings.coverage[0])
    amplitude, frequency = swings.at(np.maximum(share, straight))
    dash = _DASH * pen.width / straight
    limit = thresholds(track.row, track.step, dash, random) * straight
    is_on = (share > limit) & (at(asked, track.points) > _WHITE)
    phase = 2 * math.pi * np.cumsum(frequency) * track.step
    away = amplitude * np.sin(phase + 2.4 * track.row)
    points = track.points + away[:, None] * track.normals
    shortest = 2 * pen.width
    begins, ends = runs(is_on, track.row, track.step, gap=shortest, shortest=shortest)
    counts = ends - begins
    offsets = ragged.offsets_of(counts)
    which = np.repeat(begins - offsets[:-1], counts) + np.arange(int(offsets[-1]))
    made, offsets = reshape.simplify(points[which], offsets, _TOLERANCE)
    return Drawing.from_arrays(made, offsets, pen=pen)
