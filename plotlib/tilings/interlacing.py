"""Interlacing: strokes that cross become bands, over and under in turn."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely

from plotlib import checks
from plotlib.checks import IntArray
from plotlib.drawing import Drawing, as_drawing
from plotlib.errors import InvalidValue
from plotlib.interrupt import interruptible
from plotlib.progress import stage
from plotlib.tilings.bands import Bands, Passes, TooWide, bands_of, passes_of
from plotlib.tilings.nets import Net, Strands, net_of, strands_of
from plotlib.tilings.weave import Weave

_MOST = 2_000_000  # points of all strokes
_TRIES = 8  # halvings to find a width that fits, 1/256 of the one asked for
_OVERLAP = 1e-9  # of the width squared


def interlaced(drawing: Drawing, *, width: float, gap: float = 0.0) -> Weave:
    """Bands along strokes, which pass over and under each other in turn.

    Strokes that meet end to end are one strand; where four ends meet, as the rays of ``stars`` do
    on the edges of tiles, strands go straight across. Each strand goes over a crossing, under the
    next, and so on: for closed strokes, and for strokes that end on the rim of an area without
    holes, there is always such a way. To cut a pattern, clip ``edges()`` rather than the strokes:
    strokes cut beside a crossing leave their bands no room.

    Parameters
    ----------
    drawing : Drawing
        The middles of the bands, with crossings of two strokes at a time.
    width : float
        The width of the bands, mm; corners are mitred.
    gap : float, default 0
        Air in mm on both sides of a band where another one passes under it; half a pen's width
        or more keeps lines from running together.

    Returns
    -------
    Weave
        The strands; ``edges()`` draws them.

    Raises
    ------
    InvalidValue
        If an argument is invalid, more than two strokes cross at a point, over and under cannot
        alternate, or bands so wide have no room; or if there are more than two million points.

    References
    ----------
    That over and under can alternate: P. G. Tait, *On Knots*, 1877 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.tilings import archimedean, stars
    >>> floor = archimedean(box(0, 0, 60, 40), "4.8.8", side=8)
    >>> woven = interlaced(stars(floor, 60), width=1.2, gap=0.2)
    >>> points, is_over = woven.passes(0)
    >>> bool((is_over[1:] != is_over[:-1]).all())
    True
    """
    lines = as_drawing("drawing", drawing)
    wide = checks.positive("width", width, unit="mm")
    air = checks.not_negative("gap", gap, unit="mm")
    if len(lines.points) > _MOST:
        raise InvalidValue(
            f"drawing has {len(lines.points):,} points, more than {_MOST:,}; simplify it",
            name="drawing",
        )
    with stage("interlacing"):
        return interruptible(lambda _: _interlaced(lines, wide, air))


def _interlaced(lines: Drawing, width: float, gap: float) -> Weave:
    net = net_of(lines)
    strands = strands_of(net)
    passes = passes_of(net, strands)
    try:
        return _woven(net, strands, passes, width, gap)
    except TooWide as error:
        raise _with_remedy(error, net, strands, passes, width, gap) from None


def _woven(net: Net, strands: Strands, passes: Passes, width: float, gap: float) -> Weave:
    bands = bands_of(net, strands, passes, 0.5 * width, gap)
    cuts = _cuts(bands, passes)
    _apart(bands, passes, width)
    _, first = np.unique(passes.crossing, return_index=True)
    crossings = net.points[strands.places[passes.rows[first]]]
    return Weave(bands, passes, cuts, crossings)


def _cuts(bands: Bands, passes: Passes) -> Any:
    """Where the lines of each pass that is under are hidden (C, 3, 2), in the order of passes."""
    from plotlib.tilings.cutting_kernel import hidden

    under = np.flatnonzero(~passes.over)
    above = np.flatnonzero(passes.over)
    above = above[np.argsort(passes.crossing[above])][passes.crossing[under]]
    cuts = hidden(bands.lines[:3], bands.lines[3:], bands.sections[under], bands.sections[above])
    lost = np.isnan(cuts).any(axis=(1, 2))
    if lost.any():
        spot = bands.lines[0, bands.sections[under[np.argmax(lost)]]].mean(axis=0)
        raise TooWide(spot, "cross with no room for bands")
    return cuts


def _apart(bands: Bands, passes: Passes, width: float) -> None:
    """Refuse bands that overlap where their middles do not cross."""
    areas, owner = _areas(bands, passes)
    wide, _ = _areas(bands._replace(lines=bands.lines[[0, 3, 4]]), passes)
    is_over = np.append(passes.over, np.zeros(len(areas) - len(passes.over), np.bool_))
    tree = shapely.STRtree(areas)
    one, other = tree.query(np.where(is_over, wide, areas), predicate="intersects")
    crossing = np.append(passes.crossing, -1 - np.arange(len(areas) - len(passes.over)))
    before, after = _beside(bands, owner)
    apart = (one != other) & (crossing[one] != crossing[other])
    apart &= (before[one] != other) & (after[one] != other)
    one = one[apart]
    other = other[apart]
    shared = shapely.area(shapely.intersection(np.where(is_over, wide, areas)[one], areas[other]))
    bad = shared > _OVERLAP * width**2
    if bad.any():
        spot = shapely.get_coordinates(areas[one[np.argmax(bad)]]).mean(axis=0)
        raise TooWide(spot, "run too close to each other for bands")


def _areas(bands: Bands, passes: Passes) -> tuple[Any, IntArray]:
    """The sections as polygons, then the strands that cross nothing; and the strand of each."""
    whole = np.setdiff1d(np.arange(len(bands.closed)), passes.strand)
    ends = np.column_stack([bands.offsets[:-1], bands.offsets[1:] - 1])[whole]
    spans = np.concatenate([bands.sections, ends])
    counts = spans[:, 1] - spans[:, 0] + 1
    owner = np.repeat(np.arange(len(spans)), counts)
    begin = np.cumsum(counts) - counts
    step = np.arange(len(owner)) - begin[owner]
    there = bands.lines[1, spans[owner, 0] + step]
    back = bands.lines[2, spans[owner, 1] - step]
    both = np.concatenate([there, back])
    order = np.argsort(np.concatenate([owner, owner]), kind="stable")
    rings = shapely.linearrings(both[order], indices=np.sort(np.concatenate([owner, owner])))
    return shapely.polygons(rings), np.concatenate([passes.strand, whole])


def _beside(bands: Bands, owner: IntArray) -> tuple[IntArray, IntArray]:
    """The sections before and after each one along its strand."""
    rows = np.arange(len(owner))
    first = np.flatnonzero(np.diff(owner, prepend=-1))
    last = np.append(first[1:], len(owner))[: len(first)] - 1
    before = rows - 1
    after = rows + 1
    closed = bands.closed[owner[first]]
    before[first] = np.where(closed, last, first)
    after[last] = np.where(closed, first, last)
    return before, after


def _with_remedy(
    error: TooWide, net: Net, strands: Strands, passes: Passes, width: float, gap: float
) -> InvalidValue:
    """The error with the width that fits, found by halving."""
    fits = 0.0
    step = 0.5 * width
    for _ in range(_TRIES):
        try:
            _woven(net, strands, passes, fits + step, gap)
            fits += step
        except TooWide:
            pass
        step *= 0.5
    fits = _two_digits_down(fits)
    remedy = f"{fits:g} mm fits"
    if not fits:
        remedy = "take a much smaller width or gap, or clip the edges instead of the strokes"
    return InvalidValue(
        f"{error} {width:g} mm wide with a gap of {gap:g} mm; {remedy}",
        name="width",
        value=width,
        point=error.facts["point"],
        fits=fits,
    )


def _two_digits_down(number: float) -> float:
    if number <= 0:
        return 0.0
    unit = 10.0 ** (math.floor(math.log10(number)) - 1)
    return float(f"{math.floor(number / unit) * unit:.2g}")
