"""plan: a drawing and a machine become a Plot, or a refusal that tells the way out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, IntArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.bending import bent
from plotlib.planning.drying import dried, wet_note
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.metric import Metric, metric_of
from plotlib.planning.options import Options, check_kinds, check_lines, checked
from plotlib.planning.ordering.join import join
from plotlib.planning.ordering.order import order
from plotlib.planning.ordering.runs import Runs
from plotlib.planning.placing.advice import Task, check_envelope
from plotlib.planning.placing.counted import check_counts
from plotlib.planning.placing.envelope import keeps_out
from plotlib.planning.placing.following import following
from plotlib.planning.placing.grid import GridStrokes, seats, stands
from plotlib.planning.placing.notes import added_note, feed_notes, margin_note, paper_note
from plotlib.planning.placing.outline import leaves_sheet
from plotlib.planning.plot import Plot
from plotlib.planning.writable import check_writable
from plotlib.progress import Progress, Stage, asked, stage
from plotlib.sheet import Sheet

_MIXED = (
    "the pens have different lifts, and one file has one: write a file for each pen with "
    "gcode.write_each(plot, path)"
)

_STRAIGHT = (
    "the machine draws arcs, but its corrections or its height map would bend them: the file is "
    "written in lines"
)

_KEPT_OUT = 'plan(…, refuse="margin") keeps them out'


def plan(
    drawing: Drawing,
    machine: Machine,
    *,
    sheet: Sheet | None = None,
    effort: str | float = "normal",
    metric: str = "time",
    pens: str | Sequence[Pen | str] | None = None,
    join: float | None = 0.0,
    layers: Sequence[int] | IntArray | None = None,
    areas: RegionLike | Sequence[RegionLike] = (),
    keep_order: bool = False,
    drying: float | None = None,
    time_limit: float | None = None,
    refuse: str | Collection[str] = (),
    progress: Progress = None,
) -> Plot:
    """Put a drawing on a machine: check it, join strokes that meet, and find a short way for the
    pen.

    Parameters
    ----------
    drawing : Drawing
        In sheet mm when a sheet is given, else in bed mm.
    machine : Machine
        The declared envelope.
    sheet : Sheet, optional
        The paper on the bed; ink, half the pen's width included, may not leave it.
    effort : {"quick", "normal", "best"} or float, default "normal"
        How much work goes into the order, counted in tries, so that the same input gives the same
        bytes on any machine.
    metric : {"time", "distance"}, default "time"
        What the order makes short: the seconds of this machine's pen-up moves, or their
        millimetres.
    pens : "light first" or sequence of pens or of their names, optional
        The order of the pens; without it that of their first strokes.
    join : float or None, default 0
        Strokes of one pen whose ends are at most this many mm apart are joined; more than 0 adds
        ink, reported as ``plot.joining_ink``, and never in a keep-out or off the paper. None joins
        nothing.
    layers : sequence of int (M,), optional
        A number for each stroke: all strokes of a pen with a lower number are drawn before those
        with a higher one.
    areas : Drawing, Sheet or shapely area, or sequence of them, optional
        One area at a time: strokes of a layer whose middle point lies in the first area are drawn
        first, and so on; the others last. In the drawing's mm.
    keep_order : bool, default False
        Draw the strokes in the order given, joining nothing; only their directions and the starts
        of closed ones are chosen.
    drying : float, optional
        Seconds that ink stays wet. Strokes are then ordered so that none begins on, across or along
        ink that is younger, as far as an order can do that; nothing waits. How many do all the same
        stands in ``plot.warnings``. Travel grows, often by half or more; that a stroke crosses
        itself does not count, nor does what the pen passes over when it is up.
    time_limit : float, optional
        Seconds after which the search for a better order ends early; the result may then differ
        from run to run.
    refuse : {"margin", "paper", "feed"} or several of them, optional
        What is refused, where it would only be noted in ``plot.warnings``: ink in the sheet's
        margin, paper that hangs off the bed, a pen's feed that an axis cannot follow.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Plot
        What is worth knowing about it stands in ``plot.warnings``.

    Raises
    ------
    OutsideEnvelope
        If any ink would leave the bed or the sheet, or enter a keep-out; the message says where, by
        how much, and what mends it: each advice was tried, and stands in ``error.mends``.
    InvalidValue, UnknownName
        If an argument is invalid, or no program could ever be written for the machine.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> lift = ServoLift("M5", "M3 S90")
    >>> axes = {"x": Axis(10_000, 500), "y": Axis(4_000, 250)}
    >>> machine = Machine(width=225, height=250, **axes, feed=3_000, lift=lift)
    >>> plot = plan(Drawing([[(10, 10), (20, 10)], [(30, 20), (20, 10)]]), machine)
    >>> len(plot.drawing), round(plot.drawing.length, 6)
    (1, 24.142136)
    """
    check_kinds(drawing, machine, sheet)
    options = checked(
        drawing,
        effort=effort,
        metric=metric,
        pens=pens,
        join=join,
        layers=layers,
        areas=areas,
        keep_order=keep_order,
        drying=drying,
        time_limit=time_limit,
        refuse=refuse,
    )
    lifted = with_lift_of(drawing.pens, machine)
    mixed = [] if lifted is not None else [_MIXED]
    machine = machine if lifted is None else lifted
    check_writable(machine)
    check_lines(drawing.pens, machine)
    straight = [_STRAIGHT] if machine.arcs and not machine.writes_arcs else []
    noted = mixed + straight + paper_note(machine, sheet, refuse="paper" in options.refuse)
    strokes = check_envelope(Task(drawing, machine, sheet, margin="margin" in options.refuse))
    check_counts(strokes, machine)
    noted += margin_note(strokes, machine, sheet)
    with asked("planning", progress) as work:
        seated = _shifted(strokes, -1, drawing.pens, machine)
        drawn = _drawn(seated, drawing.pens, machine, sheet, options, work)
    followed = following(drawn.strokes, machine)
    keeps_margin = "margin" in options.refuse
    curved, arcs = bent(followed, drawing.pens, machine, sheet, margin=keeps_margin)
    whole = _shifted(curved, 1, drawing.pens, machine)
    if len(arcs) or drawn.joining_ink:
        noted += added_note(strokes, whole, machine, sheet, advice=_KEPT_OUT)
    has_arcs = arcs.strokes(whole.offsets) if len(arcs) else None
    noted += feed_notes(whole, drawing.pens, machine, has_arcs, refuse="feed" in options.refuse)
    placed = Drawing._make(
        machine.to_mm(whole.points), whole.offsets, whole.pen_index, drawing.pens
    )
    plot = Plot(
        placed,
        machine,
        sheet,
        metric,
        joining_ink=drawn.joining_ink * machine.unit,
        least=drawn.least,
        cost=drawn.cost,
        given=len(drawing),
        noted=tuple(noted),
        arcs=arcs,
    )
    if options.drying is not None:
        with stage("looking for strokes on wet ink"):
            plot = replace(plot, noted=(*plot.noted, *wet_note(plot, options.drying)))
    if any(not item.passable for item in machine.keep_outs):
        _ = plot.legs  # refuses now where no pen-up way leads around the keep-outs
    return plot


def _shifted(
    strokes: GridStrokes, sign: int, pens: tuple[Pen, ...], machine: Machine
) -> GridStrokes:
    """The strokes where the carriage goes (-1), or from there to where their ink lies (1)."""
    seat = seats(pens, strokes.pen_index, machine)
    if not seat.any():
        return strokes
    points = strokes.points + sign * np.repeat(seat, np.diff(strokes.offsets), axis=0)
    return GridStrokes(points, strokes.offsets, strokes.pen_index)


@dataclass(frozen=True)
class _Drawn:
    """Runs in drawing order, in units: the ink that joining added, the fewest runs that can be,
    and what the pen-up moves cost.
    """

    strokes: GridStrokes
    joining_ink: float
    least: int
    cost: float


def _drawn(
    strokes: GridStrokes,
    pens: tuple[Pen, ...],
    machine: Machine,
    sheet: Sheet | None,
    options: Options,
    work: Stage,
) -> _Drawn:
    """Join and order the strokes, pen by pen, from home over the park point to the park point."""
    metric = metric_of(machine, options.metric)
    place, park = stands(machine)
    parts = []
    blocks = []
    joining_ink = 0.0
    least = 0
    cost = 0.0
    for place_of_pen, number in enumerate(options.pens):
        pen = pens[number].name
        joining = _joining(machine, sheet, pens[number], options)
        with stage(f"joining the strokes of pen {pen}"):
            runs, labels, added, fewest = _joined(strokes, options.labels, number, joining)
        ends = {"home": place, "finish": park}
        search = {**ends, **_search(options)}
        with stage(f"looking for a short order of {len(runs):,} strokes of pen {pen}") as ordering:
            tell = _both(work, place_of_pen, len(options.pens), ordering)
            ordered, chosen, spent = _ordered(runs, labels, metric, {**search, "tell": tell})
        parts.append(ordered)
        blocks.append(labels[chosen])
        joining_ink += added
        least += fewest
        cost += spent
        place = park
    if options.drying is not None and not options.keep_order:
        with stage("looking for an order that keeps off wet ink"):
            parts, cost = _off_wet_ink(parts, blocks, pens, machine, options)
    return _Drawn(_stacked(parts), joining_ink, least, cost)


def _off_wet_ink(
    parts: list[GridStrokes],
    blocks: list[IntArray],
    pens: tuple[Pen, ...],
    machine: Machine,
    options: Options,
) -> tuple[list[GridStrokes], float]:
    """The ordered runs of each pen, put off until the ink that they touch is dry, and what the
    pen-up moves cost then; directions and starts are chosen anew.
    """
    metric = metric_of(machine, options.metric)
    place, park = stands(machine)
    whole = _shifted(_stacked(parts), 1, pens, machine)
    most = max((int(block.max(initial=0)) for block in blocks), default=0) + 1
    labels = [block + number * most for number, block in enumerate(blocks)]
    assert options.drying is not None
    sequence = dried(
        whole, np.concatenate([np.zeros(0, np.int64), *labels]), pens, machine, options.drying
    )
    first = 0
    moved = []
    cost = 0.0
    for part in parts:
        runs = part.chosen(sequence[first : first + len(part)] - first)
        search = {**_search(options), "home": place, "finish": park, "keep": True}
        ordered, _, spent = _ordered(runs, np.zeros(len(runs), np.int64), metric, search)
        moved.append(ordered)
        cost += spent
        first += len(part)
        place = park
    return moved, cost


def _both(work: Stage, place: int, pens: int, ordering: Stage) -> Callable[[float], None]:
    """Tell of the share done of ordering one pen, and so of planning all of them."""

    def tell(share: float) -> None:
        ordering.done(share)
        work.done((place + share) / pens)

    return tell


def _search(options: Options) -> dict[str, Any]:
    return {
        "effort": options.effort,
        "time_limit": options.time_limit,
        "keep": options.keep_order,
    }


def _joining(
    machine: Machine, sheet: Sheet | None, pen: Pen, options: Options
) -> dict[str, Any] | None:
    """How strokes of a pen are joined: up to which distance, and where new ink may not go; None
    where they are not.
    """
    if options.join is None or options.keep_order:
        return None

    has_bays = sheet is not None and not sheet.is_plain
    margin = "margin" in options.refuse
    blocked = partial(_blocked, machine, sheet if has_bays else None, pen, margin)
    return {
        "tolerance": options.join * 10.0**machine.decimals,
        "blocked": blocked if has_bays or machine.keep_outs else None,
    }


def _blocked(
    machine: Machine, sheet: Sheet | None, pen: Pen, margin: bool, links: IntArray
) -> BoolArray:
    """Which links (K, 2, 2) of the carriage would have ink, or the carriage itself, where it may
    not be.
    """
    half = pen.width / 2
    ink = links + machine.to_units(pen.offset)
    result = keeps_out(ink, machine=machine, half=half)
    if any(pen.offset):
        result |= keeps_out(links, machine=machine, half=half)
    if sheet is not None:
        result |= leaves_sheet(ink, machine, sheet, half, margin=margin)
    return result


def _joined(
    strokes: GridStrokes, labels: IntArray, pen: int, joining: dict[str, Any] | None
) -> tuple[GridStrokes, IntArray, float, int]:
    """The runs of one pen, layer by layer, their layers, the ink in units that joining added, and
    the fewest runs that can be.
    """
    mine = np.flatnonzero(strokes.pen_index == pen)
    parts = []
    groups = []
    joining_ink = 0.0
    least = 0
    for label in np.unique(labels[mine]):
        layer = strokes.chosen(mine[labels[mine] == label])
        if joining is not None:
            joined = join(layer.points, layer.offsets, **joining)
            joining_ink = joining_ink + joined.linked
            least = least + joined.least
            layer = GridStrokes(
                joined.points, joined.offsets, np.full(len(joined.offsets) - 1, pen)
            )
        parts.append(layer)
        groups.append(np.full(len(layer), label))
    if joining is None:
        return strokes.chosen(mine), labels[mine], 0.0, len(mine)
    return _stacked(parts), np.concatenate(groups), joining_ink, least


def _ordered(
    runs: GridStrokes, labels: IntArray, metric: Metric, search: dict[str, Any]
) -> tuple[GridStrokes, IntArray, float]:
    """The runs of one pen in the order, direction and start found, their numbers, and what its
    pen-up moves cost.
    """
    groups = labels if len(np.unique(labels)) > 1 else None
    found = order(Runs(runs.points, runs.offsets), metric, groups=groups, **search)
    turned = ragged.rotated(runs.points, runs.offsets, _by_run(found.sequence, found.start))
    rows, offsets = ragged.take(runs.offsets, found.sequence, found.reverse)
    ordered = GridStrokes(turned[rows], offsets, runs.pen_index[found.sequence])
    return ordered, found.sequence, found.cost


def _by_run(sequence: IntArray, start: IntArray) -> IntArray:
    result = np.zeros(len(sequence), np.int64)
    result[sequence] = start
    return result


def _stacked(parts: list[GridStrokes]) -> GridStrokes:
    if len(parts) == 1:
        return parts[0]
    counts = [np.diff(part.offsets) for part in parts] or [np.zeros(0, np.int64)]
    points = (
        np.concatenate([part.points for part in parts]) if parts else np.zeros((0, 2), np.int64)
    )
    index = np.concatenate([part.pen_index for part in parts]) if parts else np.zeros(0, np.int64)
    return GridStrokes(points, ragged.offsets_of(np.concatenate(counts)), index)
