"""Fills of tiles, and any drawing as a pattern."""

from __future__ import annotations

import math

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.arrays.affine import turn
from plotlib.arrays.flatten import TOLERANCE, chords, unit_arc
from plotlib.checks import (
    FloatArray,
    IntArray,
    Seed,
    finite,
    generator,
    not_negative,
    one_of,
    point,
    positive,
)
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fills.hatch import cross_hatch
from plotlib.fills.laying import affordable, box_in, clipped, without_crumbs
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen, as_pen

_TILINGS = ("truchet", "diagonals", "squares", "triangles", "hexagons", "bricks")


def tiles(
    region: RegionLike,
    *,
    size: float,
    tiling: str = "truchet",
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    seed: Seed = 0,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with the lines of a tiling, cut at its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    size : float
        The side of a tile in mm, > 0; of bricks the length, they are half as high.
    tiling : {"truchet", "diagonals", "squares", "triangles", "hexagons", "bricks"}
        Squares with two quarter circles each, turned at random (C. S. Smith, Leonardo 20, 1987,
        after S. Truchet, 1704); squares with a diagonal each, at random; and the edges of squares,
        triangles, hexagons, bricks.
    seed : int or numpy Generator, default 0
        Decides how the tiles of the first two are turned.
    angle, origin, shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Each edge is drawn once.

    Raises
    ------
    InvalidValue
        If ``size`` is not positive and finite, another argument is invalid, or the tiles would be
        millions.
    UnknownName
        If ``tiling`` is another word.

    References
    ----------
    C. S. Smith, *The Tiling Patterns of Sebastien Truchet and the Topology of Structural
    Hierarchy*, Leonardo 20, 1987 (quarter circles; from memory).

    Examples
    --------
    >>> from shapely import box
    >>> len(tiles(box(0, 0, 20, 20), size=5))
    32
    """
    side = positive("size", size, unit="mm")
    kind = one_of("tiling", tiling, _TILINGS)
    frame = Frame(side, finite("angle", angle), point("origin", origin))
    least = not_negative("shortest", shortest, unit="mm")
    random = generator(seed)
    area = room(region, pen, inset)
    if kind in ("squares", "triangles"):
        turns, apart = (
            ((0.0, 90.0), side)
            if kind == "squares"
            else ((0.0, 60.0, 120.0), side * math.sqrt(0.75))
        )
        rows = [_lines(area, frame, apart, turned, pen) for turned in turns]
        return without_crumbs(Drawing(rows), least)
    motif, step, choices = _motifs(kind, side)
    cells = _cells(area, frame, step, stagger=0.5 if kind in ("hexagons", "bricks") else 0.0)
    which = (
        random.integers(0, len(choices), len(cells))
        if len(choices) > 1
        else np.zeros(len(cells), np.int64)
    )
    strokes = np.array(choices)[which] + cells[:, None, None]
    affordable(float(strokes.size), "the tiles of this area", widen="size")
    points = frame.back(strokes.reshape(-1, 2))
    made = clipped(points, np.arange(len(cells) * motif[0] + 1) * motif[1], area, pen)
    return without_crumbs(made, least)


def _lines(
    area: Polygon | MultiPolygon, frame: Frame, apart: float, turned: float, pen: Pen | None
) -> Drawing:
    """Lines of a grid through the origin: rows, shifted by half a step."""
    way = turn(frame.angle + turned) @ np.array([0.0, apart / 2])
    origin = (frame.origin[0] + float(way[0]), frame.origin[1] + float(way[1]))
    return cross_hatch(
        area, spacing=apart, angles=(frame.angle + turned,), origin=origin, inset=False, pen=pen
    )


def _motifs(
    kind: str, side: float
) -> tuple[tuple[int, int], tuple[float, float], list[FloatArray]]:
    """Strokes and points of a tile, the steps to its neighbours, and the strokes (k, n, 2) of each
    way to turn it.
    """
    if kind == "truchet":
        n = int(chords(side / 2, math.pi / 2, TOLERANCE))
        arcs = (
            np.stack([unit_arc(0, math.pi / 2, n), unit_arc(math.pi, math.pi / 2, n) + 2.0])
            * side
            / 2
        )
        mirrored = arcs * (-1.0, 1.0) + (side, 0.0)
        return (2, n + 1), (side, side), [arcs, mirrored]
    if kind == "diagonals":
        up = np.array([[(0.0, 0.0), (side, side)]])
        return (1, 2), (side, side), [up, np.array([[(0.0, side), (side, 0.0)]])]
    if kind == "bricks":
        return (
            (2, 2),
            (side, side / 2),
            [np.array([[(0.0, 0.0), (side, 0.0)], [(0.0, 0.0), (0.0, side / 2)]])],
        )
    wide = side * math.sqrt(3.0)
    high = 1.5 * side
    roof = [(0.0, side / 2), (wide / 2, 0.0), (wide, side / 2)]
    wall = [(0.0, side / 2), (0.0, side), (0.0, 1.5 * side)]
    return (2, 3), (wide, high), [np.array([roof, [wall[0], (0.0, side), (0.0, 1.5 * side)]])]


def _cells(
    area: Polygon | MultiPolygon, frame: Frame, step: tuple[float, float], *, stagger: float
) -> FloatArray:
    """Lower left corners (n, 2) in the frame of all cells that may reach into an area; odd rows
    shifted by a share of a step.
    """
    if area.is_empty:
        return np.empty((0, 2))
    u0, v0, u1, v1 = box_in(area, frame)
    first = np.floor([u0 / step[0] - 1, v0 / step[1] - 1])
    count = np.ceil([u1 / step[0] + 1, v1 / step[1] + 1]) - first
    affordable(float(np.prod(count)), "the tiles of this area", widen="size, width or height")
    rows, columns = np.mgrid[0 : int(count[1]), 0 : int(count[0])]
    across = (columns + first[0] + stagger * ((rows + first[1]) % 2)) * step[0]
    return np.stack([across, (rows + first[1]) * step[1]], axis=-1).reshape(-1, 2)


def pattern(
    region: RegionLike,
    motif: Drawing,
    *,
    width: float | None = None,
    height: float | None = None,
    stagger: float = 0.0,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with a drawing, repeated and cut at the edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    motif : Drawing
        What is repeated; it may reach beyond its cell.
    width, height : float, optional
        Size of a cell in mm, > 0; the size of the motif without them.
    stagger : float, default 0
        By what share of a cell every second row is shifted.
    angle, origin
        As for `hatch`; the point (0, 0) of the motif comes to the origin.
    shortest : float, default 0
        What the edge leaves of a stroke is left out if it is shorter than this, mm.
    inset : bool or float, optional
        As for `hatch`; without ``pen`` True stands for half the width of the motif's widest pen.
    pen : Pen, optional
        The pen of all strokes; without it the motif's own.

    Returns
    -------
    Drawing
        The strokes cell by cell, for each pen of the motif.

    Raises
    ------
    InvalidValue
        If the motif has no strokes, or no size and none is given.

    Examples
    --------
    >>> from shapely import box
    >>> len(pattern(box(0, 0, 10, 10), Drawing([[(1, 1), (2, 2)]]), width=5, height=5))
    4
    """
    if not isinstance(motif, Drawing) or not len(motif):
        raise InvalidValue(f"motif must be a Drawing with at least one stroke, got {motif!r}")
    as_pen(pen)
    least = not_negative("shortest", shortest, unit="mm")
    left, bottom, right, top = motif.box().bounds
    step = (_size("width", width, right - left), _size("height", height, top - bottom))
    frame = Frame(1.0, finite("angle", angle), point("origin", origin))
    widest = max(motif.pens, key=lambda each: each.width)
    area = room(region, widest if pen is None and inset is True else pen, inset)
    if area.is_empty:
        return Drawing.from_arrays(np.empty((0, 2)), np.zeros(1, np.int64), pen=pen)
    reached = area.buffer(math.hypot(max(abs(left), abs(right)), max(abs(bottom), abs(top))))
    cells = _cells(reached, frame, step, stagger=finite("stagger", stagger) % 1.0)
    affordable(float(len(cells)) * len(motif.points), "the pattern", widen="width or height")
    return Drawing(
        [
            _repeated(part, cells, frame).clipped(area, shortest=least)
            for part in ([motif.inked(pen)] if pen else motif.by_pen().values())
        ]
    )


def _size(name: str, given: float | None, own: float) -> float:
    if given is not None:
        return positive(name, given, unit="mm")
    if own <= 0:
        raise InvalidValue(
            f"the motif has no {name} of its own; give the {name} of a cell", name=name
        )
    return own


def _repeated(motif: Drawing, cells: FloatArray, frame: Frame) -> Drawing:
    points = (cells[:, None] + motif.points).reshape(-1, 2)
    counts: IntArray = np.tile(np.diff(motif.offsets), len(cells))
    return Drawing.from_arrays(
        frame.back(points), np.concatenate([[0], np.cumsum(counts)]), pen=motif.pens[0]
    )
