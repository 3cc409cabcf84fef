"""The segments of a drawing, found by place."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing

_LONG = 20.0  # pen widths; the boxes of longer segments lie across those of many others
_MANY = 50_000  # pieces of equal length beyond which they are longer


class Segments(NamedTuple):
    """All segments of a drawing; a dot is one without length."""

    begins: FloatArray  # (S, 2)
    ends: FloatArray  # (S, 2)
    stroke: IntArray  # (S,)
    number: IntArray  # (S,) of the segment in its stroke
    tree: Any  # an STRtree of them, long ones in pieces
    piece: IntArray  # (P,) the segment of each piece

    def nearest(self, points: FloatArray) -> tuple[IntArray, FloatArray]:
        """The segment nearest to each point (n, 2), and the place (n, 2) on it."""
        _, piece = self.tree.query_nearest(shapely.points(points), all_matches=False)
        hit = self.piece[piece]
        return hit, feet(points, self.begins[hit], self.ends[hit])


def segments_of(drawing: Drawing, width: float) -> Segments:
    """The segments of all strokes of a pen of ``width`` mm."""
    counts = np.diff(drawing.offsets)
    stroke = np.repeat(np.arange(len(drawing)), np.maximum(counts - 1, 1))
    first = np.concatenate([[0], np.cumsum(np.maximum(counts - 1, 1))])[:-1]
    number = np.arange(len(stroke)) - first[stroke]
    begin = drawing.offsets[stroke] + number
    end = np.minimum(begin + 1, drawing.offsets[stroke + 1] - 1)
    begins = drawing.points[begin]
    ends = drawing.points[end]
    longest = max(_LONG * width, drawing.length / _MANY)
    pieces = np.maximum(np.ceil(np.hypot(*(ends - begins).T) / longest), 1).astype(np.int64)
    piece = np.repeat(np.arange(len(begins)), pieces)
    turn = np.arange(len(piece)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    shares = np.stack([turn, turn + 1], axis=1) / pieces[piece][:, None]
    way = (ends - begins)[piece]
    lines = begins[piece][:, None] + shares[:, :, None] * way[:, None]
    tree = shapely.STRtree(np.asarray(shapely.linestrings(lines)))
    return Segments(begins, ends, stroke, number, tree, piece)


def feet(points: FloatArray, begins: FloatArray, ends: FloatArray) -> FloatArray:
    """The nearest point (n, 2) of each segment to each point."""
    way = ends - begins
    square = (way * way).sum(axis=1)
    share = ((points - begins) * way).sum(axis=1) / np.where(square > 0, square, 1.0)
    return np.asarray(begins + np.clip(share, 0.0, 1.0)[:, None] * way)
