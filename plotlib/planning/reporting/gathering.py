"""Every figure of a plot, gathered into its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from plotlib.checks import FloatArray, flag, not_negative, whole
from plotlib.planning.reporting.findings import findings
from plotlib.planning.reporting.report import PenUse, Report
from plotlib.planning.reporting.summary import ink_of_pens

if TYPE_CHECKING:
    from plotlib.planning.plot import Plot


def gathered(plot: Plot, *, bound: bool, passes: int, pen_change: float | None) -> Report:
    """The report that ``plot.report`` gives."""
    with_bound = flag("bound", bound)
    most = whole("passes", passes, low=1)
    changing = None
    if pen_change is not None:
        changing = plot.changes * not_negative("pen_change", pen_change, unit="s")
    times = plot.times
    return Report(
        machine=plot.machine.name,
        bounds=plot.drawing.bounds,
        sheet=_sheet(plot),
        pens=_pens(plot),
        given=plot.given,
        strokes=len(plot.drawing),
        fewest=plot.least,
        lifts=plot.lifts,
        changes=plot.changes,
        ink=plot.drawing.length,
        joining_ink=plot.joining_ink,
        travel=plot.travel,
        drawing=times.drawing,
        travelling=times.travel,
        lifting=times.lifting,
        waiting=times.waiting,
        changing=changing,
        duration=times.duration + (changing or 0.0),
        metric=plot.metric,
        cost=plot.cost,
        bound=plot.bound if with_bound else None,
        gap=plot.gap if with_bound else None,
        warnings=findings(plot, passes=most),
        notes=plot.notes,
    )


def _sheet(plot: Plot) -> tuple[float, float, float, float] | None:
    """The extent of the paper on the bed."""
    sheet = plot.sheet
    if sheet is None:
        return None
    left, bottom, right, top = sheet.on_bed.bounds
    return left, bottom, right, top


def _pens(plot: Plot) -> tuple[PenUse, ...]:
    inks = ink_of_pens(plot)
    seconds = _seconds_of_pens(plot)
    strokes = np.bincount(plot.drawing.pen_index, minlength=len(inks))
    return tuple(
        PenUse(
            name=pen.name,
            width=pen.width,
            colour=pen.colour,
            strokes=int(strokes[number]),
            ink=float(inks[number]),
            drawing=float(seconds[number]),
            write_out=pen.write_out,
        )
        for number, pen in enumerate(plot.drawing.pens)
    )


def _seconds_of_pens(plot: Plot) -> FloatArray:
    """Seconds (P,) that each pen draws, without waiting for the link."""
    drawing = plot.drawing
    pen = np.repeat(drawing.pen_index, np.diff(drawing.offsets))
    seconds = np.bincount(pen, weights=plot.times.moves, minlength=len(drawing.pens))
    return seconds.astype(np.float64)
