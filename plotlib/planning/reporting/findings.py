"""What may go wrong on the paper, each with its place and what mends it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from plotlib.arrays.ragged import lengths, take
from plotlib.arrays.reshape import simplify
from plotlib.checks import FloatArray, IntArray, counted
from plotlib.interrupt import interruptible
from plotlib.planning.reporting.report import Finding
from plotlib.planning.reporting.summary import ink_of_pens, way
from plotlib.progress import stage

if TYPE_CHECKING:
    from plotlib.pen import Pen
    from plotlib.planning.plot import Plot
    from plotlib.sheet import Sheet

# Share of a stroke's length that goes where it is simplified by half the pen's width, from which
# on its detail is called finer than the pen. An arc of radius r loses about width / (6 r): a fifth
# is a circle of 0.8 widths, whose middle is filled with ink.
_LOST = 0.2
_FINEST = 0.5  # of a pen's width: the lattice on which passes are counted
_COARSEST = 64  # points across the broadest pen: more would take long and tell no more
_POINTS = 8_000_000  # of that lattice, 160 MB; of a larger one the step grows
_FAR = -1e18  # mm of way: before anything is drawn


def findings(plot: Plot, *, passes: int) -> tuple[Finding, ...]:
    """All of them, kind by kind; ``passes`` is how often ink may lie in one spot."""
    if not len(plot.drawing):
        return ()
    with stage("looking for what may go wrong on the paper"):
        return (
            *_fine_detail(plot),
            *_slow_link(plot),
            *_too_many_passes(plot, passes),
            *_at_the_edge(plot),
            *_empty_pens(plot),
        )


def _fine_detail(plot: Plot) -> Iterator[Finding]:
    """Strokes that hold more than a line of this pen can show."""
    drawing = plot.drawing
    for number, pen in enumerate(drawing.pens):
        mine = np.flatnonzero(drawing.pen_index == number)
        rows, offsets = take(drawing.offsets, mine)
        points = drawing.points[rows]
        before = lengths(points, offsets)
        after = lengths(*simplify(points, offsets, pen.width / 2))
        lost = before - after
        fine = np.flatnonzero(lost > np.maximum(_LOST * before, pen.width / 2))
        if not len(fine):
            continue
        worst = int(fine[np.argmax(lost[fine])])
        stroke = int(mine[worst])
        yield Finding(
            "detail",
            f"{counted(len(fine), 'stroke')} of pen {pen.name!r} with detail finer than its "
            f"{pen.width:g} mm, where the ink runs together: most in stroke {stroke}, "
            f"{way(float(before[worst]))} that show as {way(float(after[worst]))}",
            f"simplify by {pen.width / 2:g} mm, draw it larger, or take a finer pen",
            _place(drawing[stroke][len(drawing[stroke]) // 2]),
            stroke,
        )


def _slow_link(plot: Plot) -> Iterator[Finding]:
    """Where the link cannot keep up, the longest waits first."""
    drawing = plot.drawing
    for stutter in sorted(plot.times.stutters, key=lambda stutter: -stutter.waiting):
        stroke = drawing[stutter.run]
        yield Finding(
            "link",
            f"stroke {stutter.run}, points {stutter.first} to {stutter.last}: segments too short "
            f"for the link, the pen waits {stutter.waiting:.2f} s on the paper",
            stutter.remedy,
            _place(stroke[(stutter.first + stutter.last) // 2]),
            stutter.run,
        )


class _Spots(NamedTuple):
    """How often ink lies on each point of a lattice (rows, columns) on the bed."""

    passes: NDArray[np.int32]
    left: float
    bottom: float
    step: float

    def place(self, row: int, column: int) -> tuple[float, float]:
        x = self.left + (column + 0.5) * self.step
        y = self.bottom + (row + 0.5) * self.step
        return x, y


def _too_many_passes(plot: Plot, most: int) -> Iterator[Finding]:
    """Where ink lies so often in one spot that the paper may tear."""
    spots = ink_passes(plot)
    over = int(np.count_nonzero(spots.passes > most))
    if not over:
        return
    row, column = np.unravel_index(int(np.argmax(spots.passes)), spots.passes.shape)
    worst = int(spots.passes[row, column])
    area = over * spots.step**2
    yield Finding(
        "passes",
        f"ink lies up to {worst} times in one spot, more than {most} times on {area:.2g} mm²: "
        f"wet paper tears",
        "spread the strokes, end them short of where they meet, or clear the spot with erased",
        spots.place(int(row), int(column)),
    )


def ink_passes(plot: Plot) -> _Spots:
    """How often the pens come to each spot, on a lattice of half the finest pen's width."""
    from plotlib.planning.reporting.passes_kernel import Lattice, count_passes

    drawing = plot.drawing
    assert drawing.bounds is not None
    widths = np.array([pen.width for pen in drawing.pens])
    reach = float(widths.max()) / 2
    left, bottom, right, top = drawing.bounds
    corner = (left - reach, bottom - reach)
    size = np.array([right + reach, top + reach]) - corner
    step = max(
        _FINEST * float(widths.min()),
        float(widths.max()) / _COARSEST,
        float(np.sqrt(size.prod() / _POINTS)),
    )
    columns, rows = np.ceil(size / step).astype(np.int64)
    passes = np.zeros((rows, columns), np.int32)
    seen = np.full(passes.shape, _FAR)
    counted_at = np.full(passes.shape, _FAR)
    radii = (widths / 2)[drawing.pen_index]
    lattice = Lattice(corner[0], corner[1], step)
    points = np.array(drawing.points)  # copies: read-only arrays would be compiled anew
    offsets = np.array(drawing.offsets)
    strokes = (points, offsets, radii)
    interruptible(lambda _: count_passes(*strokes, lattice, seen, counted_at, passes))
    return _Spots(passes, *lattice)


def _at_the_edge(plot: Plot) -> Iterator[Finding]:
    """Ink nearer to the sheet's edge than half its pen's width."""
    sheet = plot.sheet
    if sheet is None:
        return
    drawing = plot.drawing
    edge = _to_edge(drawing.points, sheet)
    widths = np.array([pen.width for pen in drawing.pens])[drawing.pen_index]
    width = np.repeat(widths, np.diff(drawing.offsets))
    near = edge < width - plot.machine.unit / 2
    if not near.any():
        return
    worst = int(np.argmin(np.where(near, edge - width, np.inf)))
    strokes = _strokes_of(np.flatnonzero(near), drawing.offsets)
    space = max(float(edge[worst] - width[worst] / 2), 0.0)
    yield Finding(
        "edge",
        f"{counted(len(np.unique(strokes)), 'stroke')} with ink nearer than half a pen's width to "
        f"the sheet's edge, down to {space:.2f} mm, where the pen catches the paper",
        "keep inside sheet.area, or move the drawing",
        _place(drawing.points[worst]),
        int(_strokes_of(np.array([worst]), drawing.offsets)[0]),
    )


def _to_edge(points: FloatArray, sheet: Sheet) -> FloatArray:
    """How far (N,) points on the sheet, in bed mm, lie from its edge."""
    if sheet.is_plain:
        left, bottom, right, top = sheet.on_bed.bounds
        low = points - (left, bottom)
        high = (right, top) - points
        return np.asarray(np.minimum(low, high).min(axis=1))
    edge = shapely.boundary(sheet.on_bed)
    shapely.prepare(edge)
    return np.asarray(shapely.distance(edge, shapely.points(points)))


def _empty_pens(plot: Plot) -> Iterator[Finding]:
    """Pens that run dry before they are done."""
    inks = ink_of_pens(plot)
    for number, pen in enumerate(plot.drawing.pens):
        ink = float(inks[number])
        if pen.write_out is None or ink <= pen.write_out:
            continue
        stroke = _dry_at(plot, number, pen.write_out)
        yield Finding(
            "ink",
            f"pen {pen.name!r} draws {way(ink)}, more than the {way(pen.write_out)} that it "
            f"holds: full at the start, it runs dry in stroke {stroke}",
            _spare(pen, ink),
            _place(plot.drawing[stroke][0]),
            stroke,
        )


def _dry_at(plot: Plot, number: int, write_out: float) -> int:
    """The stroke in which a pen runs dry."""
    drawing = plot.drawing
    mine = np.flatnonzero(drawing.pen_index == number)
    drawn = np.cumsum(drawing.lengths[mine])
    reached = int(np.searchsorted(drawn, write_out))
    return int(mine[min(reached, len(mine) - 1)])


def _spare(pen: Pen, ink: float) -> str:
    assert pen.write_out is not None
    count = int(np.ceil(ink / pen.write_out))
    return f"share the strokes out among {count} pens of the kind under names of their own"


def _strokes_of(rows: IntArray, offsets: IntArray) -> IntArray:
    found: IntArray = np.searchsorted(offsets, rows, side="right") - 1
    return found


def _place(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])
