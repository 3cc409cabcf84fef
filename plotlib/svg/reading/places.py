"""Where an element stands: its map to the page, its style, its clip, its group."""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.arrays.flatten import cubics
from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, IntArray
from plotlib.svg.artwork import ring_area, with_ends
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.lengths import Scope, length, resolved
from plotlib.svg.reading.outline import Outline
from plotlib.svg.reading.styles import Style
from plotlib.svg.reading.transforms import Matrix, apply, times, translation

Box: TypeAlias = tuple[float, float, float, float]


_FAR = 1e7  # mm: ten times what a drawing may reach


class Place(NamedTuple):
    """What an element takes over from what is around it.

    Attributes
    ----------
    matrix : Matrix
        From its user units to mm on the page.
    style : Style
        Inherited values.
    scope : Scope
        What lengths are relative to.
    clip : Polygon, MultiPolygon or None
        What of the page may be seen, in mm; None for all of it.
    group, title : str
        Name of the outermost group, title of the nearest one that says a stroke and its width.
    uses : tuple of Node
        What ``use`` elements around it show.
    depth : int
        How many elements are around it.
    """

    matrix: Matrix
    style: Style
    scope: Scope
    clip: Polygon | MultiPolygon | None = None
    group: str = ""
    title: str = ""
    uses: tuple[Node, ...] = ()
    depth: int = 0


class Mark(NamedTuple):
    """An outline in its place.

    Attributes
    ----------
    node : Node
        The shape.
    outline : Outline
        In user units of ``place``.
    place : Place
        Where it stands.
    non_scaling : bool
        Whether the width of its stroke stays as it is, however its place is scaled.
    """

    node: Node
    outline: Outline
    place: Place
    non_scaling: bool = False


def flattened(
    controls: FloatArray, firsts: IntArray, tolerance: float
) -> tuple[FloatArray, IntArray]:
    """Subpaths as polylines.

    Parameters
    ----------
    controls : float array (M, 4, 2)
        Segments, those of one subpath after those of another.
    firsts : int array (K + 1,)
        The first segment of each subpath, and the end.
    tolerance : float
        Greatest distance of a curve from its polyline.

    Returns
    -------
    points, offsets : ndarray
        One stroke for each subpath.
    """
    inner, counts = cubics(controls, tolerance)
    ends = offsets_of(counts)
    sizes = np.diff(ends[firsts]) + 1
    offsets = offsets_of(sizes)
    points = np.empty((int(offsets[-1]), 2))
    is_first = np.zeros(len(points), np.bool_)
    is_first[offsets[:-1]] = True
    points[is_first] = controls[firsts[:-1], 0]
    points[~is_first] = inner
    return points, offsets


def outline_area(
    outline: Outline, matrix: Matrix, rule: str, tolerance: float
) -> Polygon | MultiPolygon:
    """The area of an outline on the page; subpaths that are open are closed by a straight line."""
    controls = on_page(apply(matrix, outline.controls))
    points, offsets = flattened(controls, outline.firsts, tolerance)
    return ring_area(*with_ends(points, offsets), rule)


def on_page(points: FloatArray) -> FloatArray:
    """Points of a window in mm, those far beyond all paper drawn near: what is seen through it
    stays the same.
    """
    return np.clip(np.nan_to_num(points), -_FAR, _FAR)


def corner_box(outline: Outline) -> tuple[float, float, float, float] | None:
    """(left, top, right, bottom) of an outline in its own units, exact; None if it is empty."""
    controls = outline.controls
    if not len(controls):
        return None
    points = [controls[:, 0], controls[:, 3]]
    for axis in (0, 1):
        points += [_extremes(controls, axis)]
    every = np.concatenate(points)
    low = every.min(axis=0)
    high = every.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _extremes(controls: FloatArray, axis: int) -> FloatArray:
    """Points (n, 2) where curves turn back along an axis: the roots of their derivative."""
    p = controls[:, :, axis]
    a = p[:, 3] - 3 * p[:, 2] + 3 * p[:, 1] - p[:, 0]
    b = 2 * (p[:, 2] - 2 * p[:, 1] + p[:, 0])
    c = p[:, 1] - p[:, 0]
    with np.errstate(all="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        both = -0.5 * (b + np.where(b < 0, -root, root))
        found = np.stack([both / a, c / both], axis=1)
    row, column = np.nonzero((found > 0) & (found < 1))
    t = found[row, column][:, None]
    q = controls[row]
    return np.asarray(
        (1 - t) ** 3 * q[:, 0]
        + 3 * (1 - t) ** 2 * t * q[:, 1]
        + 3 * (1 - t) * t**2 * q[:, 2]
        + t**3 * q[:, 3]
    )


def moved_by_origin(matrix: Matrix, origin: str | None, scope: Scope, box: Box | None) -> Matrix:
    """A transform about its ``transform-origin``: CSS Transforms Level 1, section 6."""
    if not origin:
        return matrix
    left, top, width, height = box or (0.0, 0.0, scope.width, scope.height)
    place = _origin(origin, scope._replace(width=width, height=height))
    if place is None:
        return matrix
    x = left + place[0]
    y = top + place[1]
    return times(times(translation(x, y), matrix), translation(-x, -y))


_ACROSS = {"left": "0%", "center": "50%", "right": "100%"}
_DOWN = {"top": "0%", "center": "50%", "bottom": "100%"}


def _origin(text: str, scope: Scope) -> tuple[float, float] | None:
    words = text.lower().split()[:2]
    if len(words) == 1:
        words = ["center", words[0]] if words[0] in ("top", "bottom") else [words[0], "center"]
    if words[0] in ("top", "bottom") or words[1] in ("left", "right"):
        words.reverse()
    across = length(_ACROSS.get(words[0], words[0]))
    down = length(_DOWN.get(words[1], words[1]))
    if across is None or down is None:
        return None
    return resolved(across, scope, "width"), resolved(down, scope, "height")
