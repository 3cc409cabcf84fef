"""The Plot: ordered strokes on the machine's grid, and what drawing them costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from plotlib.arrays.ragged import take
from plotlib.checks import IntArray, counted
from plotlib.drawing import Drawing, inline
from plotlib.machine import Machine
from plotlib.planning.bending import Arcs, none
from plotlib.planning.bounding.bound import as_started, is_ring, lower_bound
from plotlib.planning.metric import Metric, metric_of
from plotlib.planning.moving.legs import Legs, legs_of, travel
from plotlib.planning.moving.motion import MotionTimes
from plotlib.planning.moving.timing import times_of
from plotlib.planning.ordering.order import naive_order
from plotlib.planning.ordering.runs import Runs
from plotlib.planning.placing.detour import around
from plotlib.planning.placing.grid import seats, stands
from plotlib.planning.reporting.summary import summary
from plotlib.progress import stage
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    from plotlib.planning.reporting.report import Report

_TOLD = 3  # stretches where the link starves, the longest waits first


@dataclass(frozen=True)
class Plot:
    """A drawing planned for one machine; made by ``plan``.

    Attributes
    ----------
    drawing : Drawing
        The strokes in drawing order, in bed mm, every point on the machine's grid; pens one after
        another.
    machine : Machine
        The machine it is planned for.
    sheet : Sheet or None
        The paper on the bed.
    metric : {"time", "distance"}
        What the order was made for, and so the unit of ``cost``, ``bound`` and ``gap``: seconds or
        mm.
    joining_ink : float
        Ink in mm that joining added.
    cost : float
        What the pen-up moves cost, in the unit of ``metric``; lifting and settling are told apart,
        in ``times``.
    given : int
        How many strokes the drawing had before joining.
    least : int
        The fewest pen-down runs that any joining of them could come to, by Euler's count; layers
        and areas are counted apart.
    noted : tuple of str
        What ``plan`` found worth knowing, such as ink in the margin; part of ``warnings``.
    arcs : Arcs
        Runs of points that the machine draws as arcs, one line each; none without
        ``machine.arcs``. Between their ends ``drawing`` has points of the arcs.
    """

    drawing: Drawing
    machine: Machine
    sheet: Sheet | None
    metric: str
    joining_ink: float
    cost: float
    given: int
    least: int
    noted: tuple[str, ...] = ()
    arcs: Arcs = field(default_factory=none)

    @property
    def lifts(self) -> int:
        """How often the pen goes up after a stroke."""
        return len(self.drawing)

    @property
    def changes(self) -> int:
        """How often the user is asked to change the pen."""
        return max(len(self.drawing.pens) - 1, 0)

    @cached_property
    def units(self) -> IntArray:
        """Where the carriage goes: the points (N, 2) in whole units of the machine's last decimal,
        bed coordinates, less the offsets of their pens; read-only.
        """
        drawing = self.drawing
        units: IntArray = self.machine.to_units(drawing.points)
        seat = seats(drawing.pens, drawing.pen_index, self.machine)
        if seat.any():
            units = units - np.repeat(seat, np.diff(drawing.offsets), axis=0)
        units.flags.writeable = False
        return units

    @cached_property
    def legs(self) -> Legs:
        """The pen-up moves in grid units, from home over the strokes and the park point to the
        end.
        """
        home, park = (np.array(place) for place in stands(self.machine))
        return around(
            legs_of(self.units, self.drawing.offsets, self.drawing.pen_index, home, park),
            self.machine,
        )

    @cached_property
    def travel(self) -> float:
        """Pen-up way in mm."""
        return travel(self.legs) * self.machine.unit

    @cached_property
    def times(self) -> MotionTimes:
        """Seconds of drawing, travel, lifting and waiting for the link, as a controller with
        look-ahead plans them.
        """
        drawing = self.drawing
        runs = (self.units, drawing.offsets, drawing.pen_index)
        with stage("timing the plot"):
            return times_of(*runs, drawing.pens, self.legs, self.machine, self.arcs)

    @property
    def duration(self) -> float:
        """Expected time of the whole plot in s, without the time that the user takes to change
        pens.
        """
        return self.times.duration

    @cached_property
    def bound(self) -> float:
        """What the pen-up moves cost at least in any order of these runs, proven, in the unit of
        ``metric``; computed when first asked, and printed with the plot from then on.

        A closed run may start at any of its vertices, and where many runs are closed the bound is
        weak: it may be far below what any order costs. See :attr:`bound_as_started`.
        """
        total = 0.0
        with stage("proving how short the way of the pen could be") as work:
            for number, (part, home, finish) in enumerate(self._searches()):
                work.done(number / len(self.drawing.pens))
                total = total + lower_bound(*part, home=home, finish=finish)
        return min(self.cost, total)

    @property
    def gap(self) -> float:
        """How much ``cost`` may be above the best possible, as a share of ``bound``: 0.05 is 5 %.

        Where many runs are closed most of it tells of the bound and not of the order, see
        ``closed_share``.
        """
        return (self.cost - self.bound) / self.bound if self.bound > 0 else 0.0

    @cached_property
    def bound_as_started(self) -> float:
        """What the pen-up moves cost at least in any order of these runs that starts each closed
        one at the vertex where this plot does, proven, in the unit of ``metric``.

        It says how good the order is with starts as chosen, and nothing of other starts. Computed
        when first asked, and printed with the plot from then on.
        """
        total = 0.0
        with stage("proving how short the way could be with starts as chosen"):
            for (points, offsets, metric), home, finish in self._searches():
                ends = as_started(points, offsets)
                total = total + lower_bound(*ends, metric, home=home, finish=finish)
        return max(self.bound, min(self.cost, total))

    @property
    def closed_share(self) -> float:
        """How many of the runs are closed and so may start at any vertex, 0 to 1."""
        offsets = self.drawing.offsets
        if len(offsets) == 1:
            return 0.0
        return float(np.mean(is_ring(self.units, offsets)))

    @cached_property
    def nearest_neighbour(self) -> float:
        """What the pen-up moves would cost from each end to the nearest next one, in the unit of
        ``metric``.
        """
        return sum(
            naive_order(Runs(*part[:2]), part[2], home=home, finish=finish).cost
            for part, home, finish in self._searches()
        )

    def _searches(
        self,
    ) -> Iterator[tuple[tuple[IntArray, IntArray, Metric], tuple[int, int], tuple[int, int]]]:
        """The runs of each pen, the metric, and where the carriage comes from and goes to."""
        drawing = self.drawing
        machine = self.machine
        metric = metric_of(self.machine, self.metric)
        home, park = stands(machine)
        for number in range(len(drawing.pens)):
            rows, offsets = take(drawing.offsets, np.flatnonzero(drawing.pen_index == number))
            yield (self.units[rows], offsets, metric), park if number else home, park

    def part(self, *, pens: Any = None, strokes: Any = None, since: Any = None) -> Plot:
        """Some of the strokes, in the same order, as a plot of its own: for one pen, for a stretch
        that went wrong, or to go on after an interruption.

        Parameters
        ----------
        pens : Pen, name, or sequence of them, optional
            Only strokes of these pens.
        strokes : int, slice or sequence of int, optional
            Only these, by their numbers in ``drawing``, from 0.
        since : int or (int, float), optional
            Nothing before this stroke; or before so many mm along it, where the new start is
            rounded to the grid, so that the pen goes on within half a unit of the old line.

        Returns
        -------
        Plot
            What all three leave; perhaps nothing. It begins at home and ends parked as every
            plot, and its strokes count as given: nothing was joined.

        Raises
        ------
        UnknownName
            If a name in ``pens`` is none of the plot's pens.
        NoSuchStroke
            If there is no stroke of a number.
        InvalidValue
            If an argument is of another kind, or ``since`` lies beyond the end of its stroke.

        Examples
        --------
        >>> from plotlib.machine import Axis, ServoLift
        >>> from plotlib.planning.plan import plan
        >>> lift = ServoLift("M5", "M3 S90")
        >>> axis = Axis(9_000)
        >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
        >>> plot = plan(Drawing([[(1, 1), (9, 1)], [(1, 5), (9, 5)]]), machine)
        >>> len(plot.part(strokes=1).drawing), plot.part(since=(0, 3.5)).drawing.length
        (1, 12.5)
        """
        from plotlib.planning.parts import part_of

        return part_of(self, pens, strokes, since)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the user should know."""
        stutters = sorted(self.times.stutters, key=lambda stutter: -stutter.waiting)
        told = [str(stutter) for stutter in stutters[:_TOLD]]
        if len(stutters) > _TOLD:
            told.append(f"{len(stutters) - _TOLD:,} more stretches come too thick for the link")
        return (*self.notes, *told)

    @property
    def notes(self) -> tuple[str, ...]:
        """What ``plan`` noted, and what the time leaves out; part of ``warnings``."""
        axes = (self.machine.x, self.machine.y)
        if all(axis.acceleration is not None for axis in axes):
            return self.noted
        return (*self.noted, "no acceleration declared: shortest possible time")

    def report(
        self, *, bound: bool = True, passes: int = 6, pen_change: float | None = None
    ) -> Report:
        """Everything that is known of the plot, and what may go wrong on the paper.

        Parameters
        ----------
        bound : bool, default True
            Work out ``bound`` and ``gap`` too, which may take seconds for many strokes.
        passes : int, default 6
            How often ink may lie in one spot before the report warns that the paper may tear.
            Papers differ; six is common practice for drawing paper, without a source.
        pen_change : float, optional
            Seconds that you take to change a pen, counted into the report's ``duration``; without
            it pen changes are counted, not timed.

        Returns
        -------
        Report
            Prints as text, shows as a table in a notebook; ``as_dict()`` gives all figures, and
            ``warnings`` what may go wrong, each with its place and a remedy.

        Raises
        ------
        InvalidValue
            If an argument is invalid.

        Examples
        --------
        >>> from plotlib.machine import Axis, ServoLift
        >>> from plotlib.planning.plan import plan
        >>> lift = ServoLift("M5", "M3 S90")
        >>> axis = Axis(9_000)
        >>> machine = Machine(width=225, height=250, x=axis, y=axis, feed=3_000, lift=lift)
        >>> eight_times = Drawing([[(10, 10), (60, 10)]] * 8)
        >>> report = plan(eight_times, machine, join=None).report()
        >>> report.ink, report.lifts
        (400.0, 8)
        >>> [warning.kind for warning in report.warnings]
        ['passes']
        """
        from plotlib.planning.reporting.gathering import gathered

        return gathered(self, bound=bound, passes=passes, pen_change=pen_change)

    def __str__(self) -> str:
        return summary(self)

    def __repr__(self) -> str:
        if not self.lifts:
            return f"<Plot for {self.machine.name}: nothing to draw>"
        pens = ", ".join(pen.name for pen in self.drawing.pens)
        strokes = counted(self.lifts, "stroke")
        return f"<Plot for {self.machine.name}: {strokes}, pens in order: {pens}>"

    def _repr_svg_(self) -> str | None:
        return inline.svg(self)

    def _repr_png_(self) -> inline.Shown:
        return inline.png(self)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Plot):
            return NotImplemented
        return (self.drawing, self.machine, self.sheet, self.metric) == (
            other.drawing,
            other.machine,
            other.sheet,
            other.metric,
        )

    def __hash__(self) -> int:
        return hash((self.drawing, self.metric))  # of what __eq__ compares
