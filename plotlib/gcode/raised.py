"""Programs that are run with the pen held up: the dry run of a plot, and a walk around it."""

from __future__ import annotations

import numpy as np
import shapely

from plotlib.arrays import ragged
from plotlib.checks import IntArray, flag, rate
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.files import PathLike, write_whole
from plotlib.gcode.comments import comment_lines
from plotlib.gcode.coordinates import Climb
from plotlib.gcode.program import Program
from plotlib.gcode.proving.raised import DRY, WALK, prove_raised
from plotlib.gcode.writer import header
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.parts import as_given
from plotlib.planning.plot import Plot


def dry_run(plot: Plot, path: PathLike) -> None:
    """Write the file of a plot with the pen held up: the same ways at the same feeds, the same
    stops, and the pen never lowered. Run it before the first plot on a new machine.

    Parameters
    ----------
    plot : Plot
        From ``plan``.
    path : path
        Where to write.

    Raises
    ------
    ProofError
        If the text does not replay to the plot with the pen up; nothing is written.
    InvalidValue
        If ``plot`` is no Plot.
    NotWritten
        If the file cannot be written.

    Examples
    --------
    >>> import os, tempfile
    >>> import plotlib as pl
    >>> from plotlib.gcode import read
    >>> lift = pl.ServoLift("M5", "M3 S90")
    >>> axis = pl.Axis(9_000)
    >>> machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    >>> path = os.path.join(tempfile.mkdtemp(), "dry.gcode")
    >>> dry_run(pl.plan(pl.shapes.circle((60, 50), 20), machine), path)
    >>> len(read(path, machine)), read(path, machine).lifts
    (0, 0)
    """
    _write(_plot(plot), path, DRY)


def walk_around(plot: Plot, path: PathLike, *, hull: bool = False, feed: float = 1_000.0) -> None:
    """Write a file that walks once around a drawing with the pen up, so that one sees on the paper
    where it will lie.

    Parameters
    ----------
    plot : Plot
        From ``plan``.
    path : path
        Where to write.
    hull : bool, default False
        Whether to follow the convex hull of the ink, and not its bounds.
    feed : float, default 1000
        How fast, in mm/min; less where an axis cannot follow.

    Raises
    ------
    OutsideEnvelope
        If the way crosses a keep-out that the carriage may not pass over.
    InvalidValue
        If ``plot`` is no Plot or draws nothing, or another argument is invalid.
    ProofError
        If the text does not replay to the walk; nothing is written.
    NotWritten
        If the file cannot be written.

    Examples
    --------
    >>> import os, tempfile
    >>> import plotlib as pl
    >>> from plotlib.gcode import read
    >>> lift = pl.ServoLift("M5", "M3 S90")
    >>> axis = pl.Axis(9_000)
    >>> machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    >>> path = os.path.join(tempfile.mkdtemp(), "walk.gcode")
    >>> walk_around(pl.plan(pl.shapes.circle((60, 50), 20), machine), path)
    >>> read(path, machine).bounds
    (0.0, 0.0, 80.0, 70.0)
    """
    whole = _plot(plot)
    slow = rate("feed", feed)
    is_hull = flag("hull", hull)
    if not len(whole.drawing):
        raise InvalidValue("the plot draws nothing; there is nothing to walk around", name="plot")
    ring = _ring(whole.units, hull=is_hull)
    points, offsets = ragged.without_repeats(ring, np.array([0, len(ring)]))
    machine = whole.machine
    _check_keep_outs(points, machine)
    pens = (Pen("none", feed=slow),)
    drawing = Drawing._make(machine.to_mm(points), offsets, np.zeros(1, np.int64), pens)
    _write(as_given(drawing, machine), path, WALK)


def _plot(plot: object) -> Plot:
    if not isinstance(plot, Plot):
        raise InvalidValue(
            f"plot must be a Plot, made by plan(drawing, machine); got {type(plot).__name__}",
            name="plot",
        )
    return plot


def _ring(units: IntArray, *, hull: bool) -> IntArray:
    """The corners (K, 2) of the way around, the first one again at the end."""
    low = units.min(axis=0)
    high = units.max(axis=0)
    if hull:
        around = shapely.convex_hull(shapely.multipoints(units))
        corners: IntArray = np.rint(shapely.get_coordinates(around)).astype(np.int64)
        is_line = not np.array_equal(corners[0], corners[-1])
        return np.vstack([corners, corners[:1]]) if is_line else corners
    left, bottom = low.tolist()
    right, top = high.tolist()
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)])


def _check_keep_outs(points: IntArray, machine: Machine) -> None:
    for number, keep_out in enumerate(machine.keep_outs):
        if keep_out.passable or len(points) < 2:
            continue
        inner = shapely.buffer(keep_out.area, -machine.unit, join_style="mitre")
        way = shapely.LineString(machine.to_mm(points))
        inside = float(shapely.intersection(inner, way).length)
        if inside > 0:
            raise OutsideEnvelope(
                f"the way around the drawing goes {inside:.3f} mm through keep-out {number}, "
                f"which the carriage may not pass over; try hull=True, or make a dry run",
                stroke=-1,
                side="keep-out",
                excess=inside,
                count=1,
            )


class _Raised(Program):
    """A program that leaves the pen where it is: up."""

    def _climb(self, first: int, end: int) -> Climb | None:
        """The raised pen follows no bed."""
        return None

    def draw(self, first: int, end: int, feed: str) -> None:
        """Along the points after ``first``."""
        self.follow(first, end, feed)


def _write(plot: Plot, path: PathLike, what: str) -> None:
    if with_lift_of(plot.drawing.pens, plot.machine) is None:
        raise InvalidValue(
            "the pens of this plot have different lifts, and one file has one lift; run it dry pen "
            "by pen: dry_run(plot.part(pens=...), path)",
            name="plot",
        )
    text = text_of_raised(plot, what)
    prove_raised(text, plot, what)
    write_whole(path, text.encode("ascii"))


def text_of_raised(plot: Plot, what: str) -> str:
    """The program of a plot with the pen held up, not yet proven."""
    machine = plot.machine
    told: list[str] = []
    if machine.comments:
        told = [*comment_lines(what, longest=machine.longest_line), *header(plot, "", "")]
    return "\n".join([*told, *_Raised(plot).pieces()]) + "\n"
