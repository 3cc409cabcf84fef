"""Assertions about drawings and the functions that make them: where ink lies, that two have the
same, that the same call gives the same, how near lines come and how long a plot takes.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import numpy as np
import shapely

from plotlib.checks import function as checked_function
from plotlib.checks import not_negative, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.planning.clock import clock
from plotlib.planning.plot import Plot
from plotlib.regions.door import as_region
from plotlib.testing.distances import Pieces, Place, as_lines, farthest, pieces
from plotlib.testing.gaps import nearest_pair
from plotlib.testing.sameness import difference
from plotlib.testing.showing import at, shown

_EDGE = 1e-6  # mm; what cuts and transforms leave


def assert_inside(drawing: Drawing, region: RegionLike, *, tolerance: float = _EDGE) -> None:
    """Assert that a drawing's lines lie in a region, its edge included.

    Parameters
    ----------
    drawing : Drawing
        Whose strokes, as lines without width; for the ink of a pen take
        ``regions.inset(region, pen.width / 2)``.
    region : shapely Polygon or MultiPolygon, or a Drawing of closed strokes
        In mm.
    tolerance : float, default 1e-6
        How far outside, in mm, still counts as inside.

    Raises
    ------
    AssertionError
        Saying by how many mm at least, and where, and showing the stroke.
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> import shapely
    >>> card = shapely.box(0, 0, 90, 50)
    >>> assert_inside(Drawing([[(0, 0), (90, 50)]]), card)
    >>> assert_inside(Drawing([[(0, 0), (90, 52)]]), card)
    Traceback (most recent call last):
    AssertionError: the drawing leaves the region by 2 mm at (90, 52); stroke 0 as an SVG path (mm,
    y up): M0 0L90 52
    """
    ink = pieces(_drawing("drawing", drawing))
    area = as_region(region)
    within = not_negative("tolerance", tolerance)
    shapely.prepare(area)
    is_out = ~shapely.covers(area, as_lines(ink.ends))
    if not is_out.any():
        return
    edge = pieces(Drawing([area])).ends
    place = farthest(_outside(ink, is_out, area), edge, within)
    if place is not None:
        raise AssertionError(
            f"the drawing leaves the region by {place.distance:.6g} mm at {at(place.where)}; "
            f"{shown(drawing, place.stroke)}"
        )


def _outside(ink: Pieces, is_out: Any, area: Any) -> Pieces:
    """The parts of pieces that lie outside an area."""
    lines = as_lines(ink.ends[is_out])
    parts, source = shapely.get_parts(shapely.difference(lines, area), return_index=True)
    is_some = ~shapely.is_empty(parts)
    parts = parts[is_some]
    source = source[is_some]
    points, owner = shapely.get_coordinates(parts, return_index=True)
    first = np.searchsorted(owner, np.arange(len(parts)))
    last = np.searchsorted(owner, np.arange(len(parts)), side="right") - 1
    ends = np.stack([points[first], points[last]], axis=1)
    return Pieces(ends, ink.stroke[is_out][source], np.zeros(len(ends)))


def assert_same_ink(one: Drawing, other: Drawing, tolerance: float = 0.01) -> None:
    """Assert that two drawings put the same ink on paper: for each pen no line of one lies farther
    than a tolerance from the lines of the other.

    Order, direction, the cuts between strokes and ink that lies twice make no difference.

    Parameters
    ----------
    one, other : Drawing
        To be compared, in mm.
    tolerance : float, default 0.01
        In mm, > 0.

    Raises
    ------
    AssertionError
        Saying which pen, by how many mm at least, and where, and showing the stroke.
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> there = Drawing([[(0, 0), (10, 0)]])
    >>> back = Drawing([[(10, 0), (4, 0)], [(5, 0), (0, 0)]])
    >>> assert_same_ink(there, back)
    >>> assert_same_ink(there, back.moved(0, 0.25))
    Traceback (most recent call last):
    AssertionError: ink of the first drawing lies 0.25 mm from all ink of the other, at (0, 0), pen
    "pen"; stroke 0 as an SVG path (mm, y up): M0 0L10 0
    """
    within = positive("tolerance", tolerance, unit="mm")
    by_pen = _drawing("one", one).by_pen(), _drawing("other", other).by_pen()
    for pen in [*by_pen[0], *(pen for pen in by_pen[1] if pen not in by_pen[0])]:
        inks = tuple(inked.get(pen, Drawing()) for inked in by_pen)
        for mine, theirs, name in (
            (inks[0], inks[1], ("first", "other")),
            (inks[1], inks[0], ("other", "first")),
        ):
            place = farthest(pieces(mine), pieces(theirs).ends, within)
            if place is not None:
                raise AssertionError(_apart(place, mine, name, pen.name))


def _apart(place: Place, drawing: Drawing, names: tuple[str, str], pen: str) -> str:
    mine, theirs = names
    far = f"lies {place.distance:.6g} mm from all ink of the {theirs}"
    if not np.isfinite(place.distance):
        far = f"is missing in the {theirs}, which has none of this pen"
    return (
        f"ink of the {mine} drawing {far}, at {at(place.where)}, "
        f'pen "{pen}"; {shown(drawing, place.stroke)}'
    )


def assert_deterministic(function: Callable[..., Any], *arguments: Any, **named: Any) -> None:
    """Assert that a function gives the same for the same arguments, whatever the state of the
    random numbers that Python and numpy share.

    Parameters
    ----------
    function : callable
        A design, called twice. What it returns is compared: Drawings point by point, plots by
        drawing and machine, arrays, texts, and lists, tuples and dicts of these.
    *arguments, **named
        What it is called with.

    Raises
    ------
    AssertionError
        Saying where the two results part.
    InvalidValue
        If ``function`` cannot be called.

    Notes
    -----
    Both calls are made in one process. The order of a set of texts differs between processes only;
    sort sets before they become ink.

    Examples
    --------
    >>> def blot(seed):
    ...     return Drawing([np.random.default_rng(seed).random((5, 2))])
    >>> assert_deterministic(blot, 7)
    >>> assert_deterministic(blot, None)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    AssertionError: two calls of blot differ: point 0 of stroke 0 lies ... mm apart
    """
    design = checked_function("function", function)
    first = _called(design, arguments, named, seed=1)
    second = _called(design, arguments, named, seed=2)
    where = difference(first, second)
    if where is not None:
        name = getattr(design, "__name__", repr(design))
        raise AssertionError(f"two calls of {name} differ: {where}")


def _called(design: Callable[..., Any], arguments: Any, named: Any, *, seed: int) -> Any:
    """The result with the shared random numbers in a known state, which is put back."""
    kept = random.getstate(), np.random.get_state()  # noqa: NPY002 - designs may use it
    random.seed(seed)
    np.random.seed(seed)  # noqa: NPY002
    try:
        return design(*arguments, **named)
    finally:
        random.setstate(kept[0])
        np.random.set_state(kept[1])  # noqa: NPY002


def assert_plot_time_below(plot: Plot, seconds: float) -> None:
    """Assert that a plot takes less than so many seconds by the motion model.

    Parameters
    ----------
    plot : Plot
        As ``plan`` gives it.
    seconds : float
        Seconds of drawing, travel and lifts together, > 0.

    Raises
    ------
    AssertionError
        Saying how long it takes and what the time goes to.
    InvalidValue
        If ``plot`` is no Plot, or ``seconds`` is not positive.

    Examples
    --------
    >>> from plotlib import Axis, Machine, ZLift, plan
    >>> axis = Axis(9_000, 500)
    >>> bench = Machine(width=90, height=50, x=axis, y=axis, lift=ZLift(4, 0, 600), feed=3_000)
    >>> plot = plan(Drawing([[(0, 0), (90, 50)]]), bench)
    >>> assert_plot_time_below(plot, 60)
    """
    if not isinstance(plot, Plot):
        raise InvalidValue(f"plot must be a Plot, got {type(plot).__name__}", name="plot")
    most = positive("seconds", seconds, unit="s")
    if plot.duration < most:
        return
    drawing = plot.drawing
    raise AssertionError(
        f"the plot takes {clock(plot.duration)}, {plot.duration - most:.1f} s more than "
        f"{most:g} s: {drawing.length:.0f} mm of ink in {len(drawing)} "
        f"{'stroke' if len(drawing) == 1 else 'strokes'}, {plot.travel:.0f} mm of travel, "
        f"{plot.lifts} lifts; plot.report() shows what the time goes to"
    )


def assert_pen_gap(drawing: Drawing, gap: float) -> None:
    """Assert that no two lines come nearer to each other than a gap: strokes that cross or touch do
    not pass.

    Parameters
    ----------
    drawing : Drawing
        Whose strokes, as lines without width, whatever their pens.
    gap : float
        Mm from line to line, > 0; with less than the pen's width between them ink lies twice.

    Raises
    ------
    AssertionError
        Saying how near which strokes come, and where, and showing them.
    InvalidValue
        If an argument is invalid.

    Notes
    -----
    A stroke that comes back to itself counts where the way along the stroke is longer than three
    gaps: a bend with a smaller radius is no fault. Strokes are looked at in pieces no longer than
    a gap.

    Examples
    --------
    >>> assert_pen_gap(Drawing([[(0, 0), (9, 0)], [(0, 1), (9, 1)]]), 0.8)
    >>> assert_pen_gap(Drawing([[(0, 0), (9, 0)], [(0, 0.5), (9, 1.4)]]), 0.8)
    Traceback (most recent call last):
    AssertionError: strokes 0 and 1 come as near as 0.5 mm, 0.3 mm less than the gap, at (0, 0); as
    an SVG path (mm, y up): M0 0L9 0 M0 0.5L9 1.4
    """
    least = positive("gap", gap, unit="mm")
    ink = _drawing("drawing", drawing)
    pair = nearest_pair(ink, least)
    if pair is not None:
        raise AssertionError(pair.told(ink, least))


def _drawing(name: str, value: object) -> Drawing:
    if not isinstance(value, Drawing):
        raise InvalidValue(f"{name} must be a Drawing, got {type(value).__name__}", name=name)
    return value
