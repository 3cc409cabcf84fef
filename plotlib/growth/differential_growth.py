"""Differential growth: curves that lengthen, keep their distance and never cross."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.fields import ScalarField
from plotlib.growth.afford import Limit, affordable, cells
from plotlib.growth.reaches import Reaches, reaches
from plotlib.growth.rounding import rounded_corners
from plotlib.interrupt import interruptible
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, Stage, asked

if TYPE_CHECKING:
    from plotlib.growth.curves_kernel import Curves, Rules

_REACH = 1.07  # spacings: with it, area / length of a full area comes to the spacing (measured)
_EDGE = 0.28  # reaches: the usual length of an edge in a full area
_MOST = 200_000  # nodes
_MOST_CELLS = 4_000_000
_AT_ONCE = 300_000  # nodes and cells stepped between two looks at the clock
_PATIENCE = 400  # steps in which the nodes must become 1 % more
_CIRCLE = 1.2  # reaches: radius of the circle that growth begins with


def differential_growth(
    region: RegionLike,
    *,
    spacing: float | ScalarField,
    first: Drawing | None = None,
    length: float | None = None,
    tolerance: float = 0.02,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Curves that lengthen within an area, fold, keep their distance and never cross.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in.
    spacing : float or ScalarField
        The distance of neighbouring folds in mm, > 0, that comes about in the mean; a field makes
        them dense here and loose there (from its least to its largest at most 8 times).
    first : Drawing, optional
        The curves to begin with, open or closed, within the area; they must not cross or come
        nearer than a sixth of the spacing. Without it a small circle in the widest place of each
        part of the area.
    length : float, optional
        Stop at so many mm of curve. Without it, growth ends when the area is full.
    tolerance : float, default 0.02
        By how much the drawn curves may leave the smooth ones, mm, > 0.
    seed : int or numpy Generator, default 0
        Where new nodes come in.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        A stroke for each curve, closed where it was at the start. No two places of the curves
        meet, and none leaves the area: no step goes farther than half the free way. Iterative: on
        other processors the curves may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, curves to begin with cross, leave the area or are too close, or
        more than 200,000 nodes would be made (about 3 for each square of the spacing).

    References
    ----------
    H. Pedersen, K. Singh, *Organic Labyrinths and Mazes*, NPAR 2006.

    Examples
    --------
    >>> from shapely import Point
    >>> dish = Point(0, 0).buffer(15)
    >>> coral = differential_growth(dish, spacing=2, length=120)
    >>> bool(coral.is_closed[0]), coral.length > 110
    (True, True)
    """
    area = as_area(region)
    random = checks.generator(seed)
    bend = checks.positive("tolerance", tolerance, unit="mm")
    wanted = math.inf if length is None else checks.positive("length", length, unit="mm")
    given = None if first is None else as_drawing("first", first)
    pen = as_pen(pen)
    if area.is_empty:
        checks.positive("spacing", 1.0 if isinstance(spacing, ScalarField) else spacing, unit="mm")
        return Drawing(pen=pen)
    apart = reaches("spacing", spacing, area)
    begin = _circles(area, apart) if given is None else _checked(given, area, apart)
    if len(begin.offsets) == 1:
        return Drawing(pen=pen)
    curves, rules = _set_up(area, begin, apart, wanted, random)
    with asked("growing curves", progress) as work:
        _grow(curves, rules, wanted, work)
        grown = _strokes(curves, begin)
        points, offsets = interruptible(lambda _: rounded_corners(*grown, area, bend))
    return Drawing.from_arrays(points, offsets, pen=pen)


class _Begin(NamedTuple):
    """The curves that growth begins with; the nodes of closed ones stand once."""

    points: FloatArray  # (n, 2)
    offsets: IntArray  # (m + 1,)
    closed: BoolArray  # (m,)


def _circles(area: Polygon | MultiPolygon, apart: Reaches) -> _Begin:
    """A circle in each part of the area that is wide enough."""
    from plotlib.growth.curves_kernel import GAP, REST

    rings = []
    for part in shapely.get_parts(area):
        widest = shapely.maximum_inscribed_circle(part, tolerance=0.1 * apart.least * _REACH)
        (x, y), _ = shapely.get_coordinates(widest)
        reach = _REACH * _at(apart, x, y)
        radius = min(_CIRCLE * reach, widest.length - 2 * GAP * reach)
        count = max(5, round(2 * math.pi * radius / (REST * reach)))
        if 2 * radius * math.sin(math.pi / count) < 2 * GAP * reach:
            continue  # no room for a curve
        turn = 2 * math.pi * np.arange(count) / count
        rings.append(np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)]))
    points, offsets = ragged.pack(rings)
    return _Begin(points, offsets, np.ones(len(rings), np.bool_))


def _at(apart: Reaches, x: float, y: float) -> float:
    rows, columns = apart.values.shape
    row = min(int((y - apart.origin[1]) / apart.origin[3]), rows - 1)
    column = min(int((x - apart.origin[0]) / apart.origin[2]), columns - 1)
    return float(apart.values[max(row, 0), max(column, 0)])


def _checked(given: Drawing, area: Polygon | MultiPolygon, apart: Reaches) -> _Begin:
    """The curves of a user as nodes at equal distances, if they do not cross or leave the area."""
    from plotlib.growth.curves_kernel import REST

    if not len(given):
        return _Begin(np.empty((0, 2)), np.zeros(1, np.int64), np.empty(0, np.bool_))
    step = REST * _REACH * apart.least
    count = float(given.length) / step
    checks.affordable("spacing", apart.least, count, _MOST, "nodes", "take shorter curves")
    sealed = ragged.sealed(given.points, given.offsets)
    points, offsets = reshape.resample(sealed, given.offsets, step)
    closed = ragged.closed(points, offsets)
    short = np.flatnonzero(np.diff(offsets) < 2)
    if len(short):
        raise InvalidValue(f"stroke {short[0]} of first is a dot; leave it out", name="first")
    lines: Any = shapely.linestrings(points, indices=ragged.stroke_of(offsets))
    shapely.prepare(area)
    for number in np.flatnonzero(~shapely.contains_properly(area, lines)):
        raise InvalidValue(
            f"stroke {number} of first leaves the area or touches its edge; clip it with "
            f".clipped(region.buffer(-1)), or take a larger region",
            name="first",
        )
    if not shapely.multilinestrings(list(lines)).is_simple:
        raise InvalidValue(
            "curves of first cross or touch each other or themselves; growth keeps what does not "
            "cross so, and needs such curves to begin with",
            name="first",
        )
    keep = np.ones(len(points), np.bool_)
    keep[offsets[1:][closed] - 1] = False
    return _Begin(points[keep], ragged.offsets_of(np.diff(offsets) - closed), closed)


def _set_up(
    area: Polygon | MultiPolygon,
    begin: _Begin,
    apart: Reaches,
    wanted: float,
    random: np.random.Generator,
) -> tuple[Curves, Rules]:
    """The nodes of the edge and of the curves, with room for those to come."""
    from plotlib.growth.curves_kernel import GAP, LONGEST, Curves, Rules
    from plotlib.growth.random_kernel import state_of

    least = _REACH * apart.least
    largest = _REACH * apart.largest
    full = apart.inverse_squares / (_REACH**2 * _EDGE * 0.87)
    given = len(begin.points)
    room = given + min(full, wanted / (0.8 * _EDGE * least))
    left, bottom, right, top = area.bounds
    columns = np.floor((right - left) / largest) + 2
    rows = np.floor((top - bottom) / largest) + 2
    _foresee(area, apart, given, full, wanted / (0.8 * _EDGE))
    edge = _edge(area, least)
    points = np.concatenate([edge.points, begin.points])
    capacity = len(points) + int(1.3 * room) + 100
    at = np.zeros((capacity, 2))
    at[: len(points)] = points
    before = np.full(capacity, -1)
    after = np.full(capacity, -1)
    _link(edge, before, after, 0)
    _link(begin, before, after, len(edge.points))
    count = np.array([len(points), len(edge.points)])
    slack = 1e-3 * largest  # rounding puts no node below the first cell
    rules = Rules(
        left - slack,
        bottom - slack,
        largest,
        rows=int(rows),
        columns=int(columns),
        longest=LONGEST * largest,
        gap=GAP * least,
    )
    reach = _REACH * apart.values
    curves = Curves(at, before, after, count, reach, apart.origin, state_of(random))
    _check_distances(curves, rules)
    return curves, rules


def _foresee(
    area: Polygon | MultiPolygon, apart: Reaches, given: int, full: float, wanted: float
) -> None:
    """Refuse a spacing that takes too many nodes: ``given`` ones of the curves to begin with and as
    many as fill the area, or as come to a length of ``wanted``.
    """

    def nodes(length: float) -> float:
        finer = apart.least / length
        return given * finer + min(full * finer**2, wanted / (_REACH * length))

    affordable(
        "spacing",
        apart.least,
        Limit(nodes, _MOST, "nodes"),
        Limit(lambda length: area.length / (_REACH * length), _MOST, "nodes on the edge"),
        Limit(cells(area.bounds, _REACH * apart.largest / apart.least), _MOST_CELLS, "cells"),
    )


def _edge(area: Polygon | MultiPolygon, least: float) -> _Begin:
    """The edge of the area as nodes that are not too far apart for the kernel."""
    from plotlib.growth.curves_kernel import REST

    step = REST * least
    rings = shapely.get_rings(shapely.get_parts(shapely.segmentize(area, step)))
    points, offsets = ragged.pack([shapely.get_coordinates(ring)[:-1] for ring in rings])
    return _Begin(points, offsets, np.ones(len(rings), np.bool_))


def _link(begin: _Begin, before: IntArray, after: IntArray, base: int) -> None:
    """Let each node know its neighbours, from node ``base`` on."""
    for k, is_closed in enumerate(begin.closed):
        nodes = np.arange(begin.offsets[k], begin.offsets[k + 1]) + base
        before[nodes[1:]] = nodes[:-1]
        after[nodes[:-1]] = nodes[1:]
        if is_closed:
            before[nodes[0]] = nodes[-1]
            after[nodes[-1]] = nodes[0]


def _check_distances(curves: Curves, rules: Rules) -> None:
    """Refuse curves that are nearer than the gap before anything moves."""
    from plotlib.growth.curves_kernel import look, scratch, sort

    found = scratch(curves, rules)
    sort(curves, rules, found)
    look(curves, rules, found)
    mine = slice(int(curves.counts[1]), int(curves.counts[0]))
    near = np.where(curves.after[mine] >= 0, found.gaps[mine], np.inf)
    worst = int(np.argmin(near))
    if near[worst] < rules.gap:
        x, y = curves.at[mine][worst]
        raise InvalidValue(
            f"curves of first come within {near[worst]:.3g} mm of each other, of themselves or of "
            f"the edge near ({x:.4g}, {y:.4g}), and {rules.gap:.3g} mm are needed; take a smaller "
            f"spacing, or round their corners",
            name="first",
            distance=float(near[worst]),
        )


def _grow(curves: Curves, rules: Rules, wanted: float, work: Stage) -> None:
    """Steps in rounds, until the curves are long enough or become no longer."""
    from plotlib.growth.curves_kernel import grow, length_of, scratch

    found = scratch(curves, rules)
    room = len(curves.at) - int(curves.counts[1])
    seen = [(0, int(curves.counts[0] - curves.counts[1]))]
    while length_of(curves) < wanted:
        cost = int(curves.counts[0]) + rules.rows * rules.columns
        steps = max(1, min(_AT_ONCE // cost, 100 if math.isinf(wanted) else 4))
        grow(curves, rules, found, steps)
        now = int(curves.counts[0] - curves.counts[1])
        done = seen[-1][0] + steps
        seen.append((done, now))
        long = length_of(curves) / wanted
        work.done(min(max(1.3 * now / room, long), 0.99))
        past = [count for step, count in seen[-_PATIENCE - 1 :] if step <= done - _PATIENCE]
        if past and now < 1.01 * past[-1]:
            return


def _strokes(curves: Curves, begin: _Begin) -> tuple[FloatArray, IntArray]:
    """The curves in their order, closed ones with the first node again at the end."""
    strokes = []
    base = int(curves.counts[1])
    after = curves.after.tolist()
    for first, is_closed in zip(begin.offsets[:-1] + base, begin.closed, strict=True):
        nodes = [int(first)]
        following = after[first]
        while following not in (-1, first):
            nodes.append(following)
            following = after[following]
        if is_closed:
            nodes.append(int(first))
        strokes.append(curves.at[nodes])
    return ragged.pack(strokes)
