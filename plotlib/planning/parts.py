"""A part of a plot: some of its pens or strokes, or what comes after a place in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray, not_negative, one_of, several, whole
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NoSuchStroke
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.bending import Arcs, none
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.metric import Metric, metric_of
from plotlib.planning.moving.legs import legs_of
from plotlib.planning.ordering.join import join
from plotlib.planning.placing.grid import seats, stands
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    from plotlib.planning.plot import Plot

_HAIR = 1e-9  # mm: what sums of lengths may be off


def part_of(plot: Plot, pens: Any, strokes: Any, since: Any) -> Plot:
    """What ``Plot.part`` returns."""
    kept = _of_pens(plot, pens) & _of_strokes(plot, strokes)
    first, along = _since(plot, since)
    kept[:first] = False
    rows, offsets = ragged.take(plot.drawing.offsets, np.flatnonzero(kept))
    units = plot.units[rows]
    is_cut = along > 0 and first < len(kept) and bool(kept[first])
    if is_cut:
        units, offsets = _shortened(units, offsets, along / plot.machine.unit)
    arcs = _arcs_of(plot, kept, rows, len(units) - len(rows))
    if is_cut:
        arcs = arcs.chosen(arcs.first >= 1)  # one that is cut into does not begin on its circle
    index = plot.drawing.pen_index[kept]
    seat = seats(plot.drawing.pens, index, plot.machine)
    ink = units + np.repeat(seat, np.diff(offsets), axis=0)
    drawing = Drawing._make(plot.machine.to_mm(ink), offsets, index.copy(), plot.drawing.pens)
    machine = with_lift_of(drawing.pens, plot.machine) or plot.machine
    part = as_given(drawing, machine, sheet=plot.sheet, metric=plot.metric, arcs=arcs)
    return replace(part, noted=plot.noted)


def _arcs_of(plot: Plot, kept: BoolArray, rows: IntArray, shift: int) -> Arcs:
    """The arcs among the ``kept`` strokes (M,), whose points were ``rows``, and whose first stroke
    has ``shift`` points more now.
    """
    arcs = plot.arcs
    if not len(arcs):
        return arcs
    owner = np.searchsorted(plot.drawing.offsets, arcs.first, side="right") - 1
    mine = arcs.chosen(kept[owner])
    place = np.zeros(len(plot.units), np.int64)
    place[rows] = np.arange(len(rows)) + shift
    return replace(mine, first=place[mine.first], last=place[mine.last])


def as_given(
    drawing: Drawing,
    machine: Machine,
    *,
    sheet: Sheet | None = None,
    metric: str = "time",
    arcs: Arcs | None = None,
) -> Plot:
    """A plot of strokes that lie on the grid in bed mm already, in their order, nothing joined."""
    from plotlib.planning.plot import Plot

    plot = Plot(
        drawing,
        machine,
        sheet,
        metric,
        joining_ink=0.0,
        cost=0.0,
        given=len(drawing),
        least=len(drawing),
        arcs=none() if arcs is None else arcs,
    )
    arrays = (plot.units, drawing.offsets, drawing.pen_index)
    return replace(plot, cost=_cost(*arrays, plot), least=_least(*arrays))


def _of_pens(plot: Plot, pens: Any) -> BoolArray:
    """Which strokes (M,) are of these pens."""
    drawing = plot.drawing
    if pens is None:
        return np.ones(len(drawing), np.bool_)
    given: Iterable[Any] = [pens] if isinstance(pens, (str, Pen)) else several("pens", pens, "pens")
    known = [pen.name for pen in drawing.pens]
    names = [one_of("pens", pen.name if isinstance(pen, Pen) else pen, known) for pen in given]
    chosen = np.array([name in names for name in known], np.bool_)
    return chosen[drawing.pen_index] if known else np.zeros(0, np.bool_)


def _of_strokes(plot: Plot, strokes: Any) -> BoolArray:
    """Which strokes (M,) are meant by their numbers."""
    count = len(plot.drawing)
    kept = np.ones(count, np.bool_)
    if strokes is None:
        return kept
    kept[:] = False
    if isinstance(strokes, slice):
        _check_slice(strokes)
        kept[strokes] = True
        return kept
    listed = [strokes] if isinstance(strokes, (int, np.integer)) else strokes
    for number in several("strokes", listed, "numbers of strokes"):
        kept[_stroke("strokes", number, count)] = True
    return kept


def _check_slice(strokes: slice) -> None:
    try:
        strokes.indices(1)
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            f"strokes must be a slice of whole numbers, got {strokes!r}",
            name="strokes",
            value=strokes,
        ) from error


def _stroke(name: str, value: Any, count: int) -> int:
    number = whole(name, value, low=0)
    if number >= count:
        raise NoSuchStroke(
            f"{name}: there is no stroke {number}; the plot has {count}, counted from 0",
            name=name,
            value=value,
            count=count,
        )
    return number


def _since(plot: Plot, since: Any) -> tuple[int, float]:
    """The stroke to begin with, and the mm of it that are left out."""
    count = len(plot.drawing)
    if since is None:
        return 0, 0.0
    if not isinstance(since, (tuple, list)):
        return _stroke("since", since, count), 0.0
    if len(since) != 2:
        raise InvalidValue(
            f"since must be a stroke, or a stroke and the mm along it, got {since!r:.100}",
            name="since",
            value=since,
        )
    stroke = _stroke("since", since[0], count)
    along = not_negative("since", since[1], unit="mm")
    length = float(plot.drawing[stroke : stroke + 1].length)
    if along > length + _HAIR:
        raise InvalidValue(
            f"since: stroke {stroke} is {length:g} mm long, and {along:g} mm along it is beyond "
            f"its end; begin with the next one",
            name="since",
            value=since,
            length=length,
        )
    return stroke, along


def _shortened(units: IntArray, offsets: IntArray, along: float) -> tuple[IntArray, IntArray]:
    """The strokes without the first units of the first of them; its new start is rounded to the
    grid once.
    """
    line = units[: offsets[1]]
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    after = int(np.searchsorted(far, along, side="right"))
    after = min(after, len(line) - 1)
    start = [np.interp(along, far, line[:, axis]) for axis in range(2)]
    cut = np.vstack([np.rint(start).astype(np.int64), line[after:]])
    counts = np.diff(offsets)
    counts[0] = len(cut)
    points = np.concatenate([cut, units[offsets[1] :]])
    shorter: tuple[IntArray, IntArray] = ragged.without_repeats(points, ragged.offsets_of(counts))
    return shorter


def _cost(units: IntArray, offsets: IntArray, index: IntArray, plot: Plot) -> float:
    """What the pen-up moves cost in the unit of the plot's metric, as ``plan`` counts it."""
    if not len(index):
        return 0.0
    home, park = (np.array(place) for place in stands(plot.machine))
    legs = legs_of(units, offsets, index, home, park)
    return float(move_costs(legs.end - legs.begin, metric_of(plot.machine, plot.metric)).sum())


def move_costs(steps: IntArray, metric: Metric) -> FloatArray:
    """What each pen-up move (L, 2) in units costs, as ``cost_kernel.move_cost`` has it."""
    dx, dy = np.abs(steps).T.astype(np.float64)
    if not metric.timed:
        return np.asarray(metric.pace_x * np.sqrt(dx * dx + dy * dy))
    a = np.maximum(dx * metric.pace_x, dy * metric.pace_y)
    b = np.maximum(dx * metric.ramp_x, dy * metric.ramp_y)
    with np.errstate(divide="ignore", invalid="ignore"):
        reached = np.where(a > 0, a + b / a, 0.0)
    return np.where(a * a >= b, reached, 2.0 * np.sqrt(b))


def _least(units: IntArray, offsets: IntArray, index: IntArray) -> int:
    """The fewest runs of these strokes, pen by pen."""
    least = 0
    for pen in np.unique(index):
        rows, own = ragged.take(offsets, np.flatnonzero(index == pen))
        least += join(units[rows], own).least
    return least
