"""Cutting strokes by an area: what lies in the closed area, or what lies in the open outside.

The two are the ink exactly once. Strokes are cut by parameters along them and never as geometries,
so a stroke that crosses itself or runs to and fro keeps all of its ink, its direction and its
order.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, Protocol, TypeAlias

import numpy as np
from shapely.geometry import MultiPolygon, Polygon

from plotlib.arrays.areas import is_rectangle
from plotlib.arrays.cutting_outline import Outline
from plotlib.arrays.cutting_pieces import Nodes, Ranges, gathered, pieces
from plotlib.arrays.cutting_rectangle import Rectangle
from plotlib.checks import FloatArray, IntArray, one_of

Cut: TypeAlias = tuple[FloatArray, IntArray, IntArray]

# Strokes are worked on in portions of about this many points: temporary arrays stay in the cache,
# and memory bounded.
_PORTION = 1 << 16


class Knife(Protocol):
    """What `cut` needs to know of an area."""

    def whole(self, points: FloatArray, offsets: IntArray) -> IntArray:
        """For each stroke 1 (all of it inside), 0 (all outside) or -1 (it has to be cut)."""

    def nodes(self, points: FloatArray, offsets: IntArray) -> Nodes:
        """The strokes with the crossings put in between, and the side of each link."""

    def trimmed(self, points: FloatArray) -> FloatArray:
        """Points of inside pieces, without the hair by which the tolerance lets them lie
        outside.
        """


def cut(
    points: FloatArray,
    offsets: IntArray,
    area: Polygon | MultiPolygon,
    *,
    keep: Literal["inside", "outside"],
) -> Cut:
    """Cut strokes by an area and keep one side.

    Parameters
    ----------
    points : ndarray, shape (N, 2), float64
        Points of all strokes, one stroke after the other, in mm; finite.
    offsets : ndarray, shape (M + 1,), int64
        Stroke ``i`` is ``points[offsets[i]:offsets[i + 1]]``; it has at least one point.
    area : Polygon or MultiPolygon
        Valid, as `plotlib.arrays.areas.as_area` gives it; may be empty.
    keep : {"inside", "outside"}
        The closed area, or the open outside of it.

    Returns
    -------
    points, offsets : ndarray
        The pieces in the order of their strokes, and along each stroke in drawing order. Strokes
        that need no cut come back bit for bit; when nothing needs a cut, the given arrays
        themselves come back.
    source : ndarray, shape (M',), int64
        The stroke that each piece comes from.

    Raises
    ------
    UnknownName
        If ``keep`` is another word.

    Notes
    -----
    Ink on an edge is inside; "on" means within 1e-9 mm (beyond 280 m from the origin: within 16
    units of the last place). A stroke that only touches the area from outside stays one piece, and
    no dot is left inside. Pieces of a closed stroke that meet at its start are one piece, the last
    one of that stroke.

    With an axis-parallel rectangle the cut points lie on its edges exactly and inside pieces never
    leave it: ink that is outside by no more than 1e-9 mm is moved onto the edge. With other areas
    an inside piece may be outside by up to 2e-9 mm.

    Examples
    --------
    >>> from shapely import box
    >>> line = np.array([[0.0, 1.0], [9.0, 1.0]])
    >>> points, offsets, source = cut(line, np.array([0, 2]), box(2, 0, 4, 3), keep="outside")
    >>> points.tolist(), offsets.tolist(), source.tolist()
    ([[0.0, 1.0], [2.0, 1.0], [4.0, 1.0], [9.0, 1.0]], [0, 2, 4], [0, 0])
    """
    side = int(one_of("keep", keep, ("inside", "outside")) == "inside")
    if area.is_empty or len(offsets) == 1:
        return _all(points, offsets) if not side else _joined([])
    rectangle = is_rectangle(area)
    knife: Knife = Outline(area) if rectangle is None else Rectangle(rectangle)
    parts = []
    for first, last in _portions(offsets):
        low = offsets[first]
        high = offsets[last]
        part = _cut(points[low:high], offsets[first : last + 1] - low, knife, side)
        parts.append((part[0], part[1], part[2] + first))
    if all(np.may_share_memory(part[0], points) for part in parts):
        return _all(points, offsets)
    return _joined(parts)


def _portions(offsets: IntArray) -> Iterator[tuple[int, int]]:
    ends = np.searchsorted(offsets, np.arange(_PORTION, offsets[-1], _PORTION))
    edges = np.unique(np.concatenate(([0], ends, [len(offsets) - 1])))
    return zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True)


def _cut(points: FloatArray, offsets: IntArray, knife: Knife, side: int) -> Cut:
    """One portion; untouched portions come back as views."""
    whole = knife.whole(points, offsets)
    if (whole == side).all():
        kept = knife.trimmed(points) if side else points
        return kept, np.diff(offsets), np.arange(len(whole))
    untouched = np.flatnonzero(whole == side)
    pool = points
    ranges = Ranges.strokes(offsets, untouched)
    mixed = np.flatnonzero(whole < 0)
    if len(mixed):
        nodes = knife.nodes(*gathered(points, Ranges.strokes(offsets, mixed))).tidied()
        cuts = pieces(nodes, side == 1)
        ranges = ranges.merged(cuts.moved(len(points), mixed))
        pool = np.concatenate((points, nodes.points))
    kept, bounds = gathered(pool, ranges)
    return (knife.trimmed(kept) if side else kept), np.diff(bounds), ranges.source[ranges.fresh]


def _all(points: FloatArray, offsets: IntArray) -> Cut:
    return points, offsets, np.arange(len(offsets) - 1)


def _joined(parts: list[Cut]) -> Cut:
    """Portions put together; the second array of each holds counts of points."""
    if not parts:
        return np.empty((0, 2)), np.zeros(1, dtype=np.int64), np.empty(0, dtype=np.int64)
    counts = np.concatenate([part[1] for part in parts])
    offsets = np.concatenate(([0], np.cumsum(counts)))
    return (
        np.concatenate([part[0] for part in parts]),
        offsets,
        np.concatenate([part[2] for part in parts]),
    )
