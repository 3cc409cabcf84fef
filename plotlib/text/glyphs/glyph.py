"""Glyphs: the strokes of one character in units of 1/21 of the cap height, y up, standing on y
= 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import FloatArray
from plotlib.text.glyphs.records import Record

CAP = 21.0  # units of the cap height, in every face of the data
_BASE = 9.0  # published y of the base line


@dataclass(frozen=True, eq=False)
class Glyph:
    """Strokes and bearings of one character, in units.

    Attributes
    ----------
    left, right : float
        The bearings: the pen position stands at ``left``, the next glyph's at ``right``.
    strokes : tuple of ndarray (n, 2)
        y up, the base line at 0, capitals from 0 to 21.
    """

    left: float
    right: float
    strokes: tuple[FloatArray, ...] = ()

    @cached_property
    def points(self) -> FloatArray:
        """All points (N, 2)."""
        return np.concatenate(self.strokes) if self.strokes else np.empty((0, 2))

    @property
    def advance(self) -> float:
        """From this glyph's pen position to the next one's."""
        return self.right - self.left

    def mapped(self, *, x: float = 1.0, y: float = 1.0, dx: float = 0.0, dy: float = 0.0) -> Glyph:
        """Scaled, then moved; the bearings go with it."""
        strokes = tuple(stroke * (x, y) + (dx, dy) for stroke in self.strokes)
        low, high = sorted((self.left * x + dx, self.right * x + dx))
        return Glyph(low, high, strokes)

    def plus(
        self, strokes: Iterable[ArrayLike], *, left: float | None = None, right: float | None = None
    ) -> Glyph:
        """With more strokes, and with other bearings where given."""
        more = tuple(np.asarray(stroke, np.float64) for stroke in strokes)
        return Glyph(
            self.left if left is None else left,
            self.right if right is None else right,
            self.strokes + more,
        )

    def beside(self, other: Glyph, *, kern: float = 0.0) -> Glyph:
        """A glyph of this one and ``other`` to the right of it as one, the room between them
        changed by ``kern``.
        """
        moved = other.mapped(dx=self.right - other.left + kern)
        return Glyph(self.left, moved.right, self.strokes + moved.strokes)

    def band(self, low: float, high: float) -> tuple[float, float] | None:
        """Least and greatest x of the ink between the heights ``low`` and ``high``; None without
        ink there.
        """
        parts = [_clipped(stroke, low, high) for stroke in self.strokes]
        xs = np.concatenate(parts) if parts else np.empty(0)
        return (float(xs.min()), float(xs.max())) if len(xs) else None


def _clipped(stroke: FloatArray, low: float, high: float) -> FloatArray:
    """The x of the points of ``stroke`` within the band and of its crossings of the band's
    edges.
    """
    x = stroke[:, 0]
    y = stroke[:, 1]
    found = [x[(y >= low) & (y <= high)]]
    for edge in (low, high):
        across = np.flatnonzero((y[:-1] - edge) * (y[1:] - edge) < 0)
        share = (edge - y[across]) / (y[across + 1] - y[across])
        found.append(x[across] + share * (x[across + 1] - x[across]))
    return np.concatenate(found)


def shifted(stroke: FloatArray, dx: float, dy: float) -> FloatArray:
    """The stroke moved."""
    return np.asarray(stroke + np.array((dx, dy)))


def doubled(stroke: FloatArray, dx: float, dy: float) -> FloatArray:
    """A thin closed outline instead of a line, as the faces of doubled strokes have it."""
    if (stroke[0] == stroke[-1]).all():
        centre = (stroke.min(axis=0) + stroke.max(axis=0)) / 2
        return np.concatenate([stroke, centre + (stroke - centre) * 0.6])
    back = shifted(stroke[::-1], dx, dy)
    return shifted(np.concatenate([stroke, back, stroke[:1]]), -dx / 2, -dy / 2)


def from_record(record: Record) -> Glyph:
    """A published record as a glyph: y turned up, strokes that share an end drawn in one go."""
    strokes = [
        np.asarray(stroke * (1.0, -1.0) + (0.0, _BASE), np.float64) for stroke in record.strokes
    ]
    return Glyph(float(record.left), float(record.right), tuple(joined(strokes)))


def joined(strokes: Sequence[FloatArray]) -> list[FloatArray]:
    """Strokes chained where two ends are the same point, so that the pen need not lift there; the
    ink stays the same.

    Earlier strokes win, each end is used once, closed strokes stay alone.
    """
    rest = list(strokes)
    done = []
    while rest:
        chain = rest.pop(0)
        while (found := _next(chain, rest)) is not None:
            chain = _linked(chain, rest.pop(found))
        done.append(chain)
    return done


def _is_closed(stroke: FloatArray) -> bool:
    return len(stroke) > 1 and bool((stroke[0] == stroke[-1]).all())


def _next(chain: FloatArray, rest: list[FloatArray]) -> int | None:
    if _is_closed(chain):
        return None
    ends = {tuple(chain[0]), tuple(chain[-1])}
    for index, stroke in enumerate(rest):
        if not _is_closed(stroke) and (tuple(stroke[0]) in ends or tuple(stroke[-1]) in ends):
            return index
    return None


def _linked(a: FloatArray, b: FloatArray) -> FloatArray:
    """Two strokes with a common end as one, beginning with ``a`` where its end allows."""
    if (a[-1] == b[0]).all():
        return np.concatenate([a, b[1:]])
    if (a[-1] == b[-1]).all():
        return np.concatenate([a, b[-2::-1]])
    if (a[0] == b[-1]).all():
        return np.concatenate([b, a[1:]])
    return np.concatenate([b[::-1], a[1:]])
