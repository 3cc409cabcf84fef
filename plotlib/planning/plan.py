"""plan: a drawing and a machine become a Plot, or a refusal that tells the way out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely

from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, not_negative, one_of
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue, UnknownName
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.cost import metric_of
from plotlib.planning.envelope import check_bed, check_keep_outs, check_sheet
from plotlib.planning.grid import GridStrokes, stands, to_grid
from plotlib.planning.join import join
from plotlib.planning.order import order
from plotlib.planning.order_runs import Runs
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet


def plan(
    drawing: Drawing,
    machine: Machine,
    *,
    sheet: Sheet | None = None,
    effort: str | float = "normal",
    metric: str = "time",
    pens: str | Sequence[Pen | str] | None = None,
    link: float | None = 0.0,
    layers: Sequence[int] | IntArray | None = None,
    areas: RegionLike | Sequence[RegionLike] = (),
    keep_order: bool = False,
    time_limit: float | None = None,
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
    link : float or None, default 0
        Strokes of one pen whose ends are at most this many mm apart are joined; more than 0 adds
        ink, told as ``plot.linked``. None joins nothing.
    layers : sequence of int (M,), optional
        A number for each stroke: all strokes of a pen with a lower number are drawn before those
        with a higher one.
    areas : Drawing, Sheet or shapely area, or sequence of them, optional
        One area at a time: strokes of a layer whose middle point lies in the first area are drawn
        first, and so on; the others last. In the drawing's mm.
    keep_order : bool, default False
        Draw the strokes in the order given, joining nothing; only their directions and the starts
        of closed ones are chosen.
    time_limit : float, optional
        Seconds after which the search for a better order ends early; the result may then differ
        from run to run.

    Returns
    -------
    Plot

    Raises
    ------
    OutsideEnvelope
        If any ink would leave the bed or the sheet, or enter a keep-out; the message says where, by
        how much and what would mend it.
    InvalidValue, UnknownName
        For arguments that cannot be.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> machine = Machine(width=225, height=250, x=Axis(10_000, 500), y=Axis(4_000, 250), feed=3_000, lift=ServoLift("M5", "M3 S90"))
    >>> plot = plan(Drawing([[(10, 10), (20, 10)], [(30, 20), (20, 10)]]), machine)
    >>> len(plot.drawing), round(plot.drawing.length, 6)
    (1, 24.142136)
    """
    _check_kinds(drawing, machine, sheet)
    strokes = to_grid(drawing, machine, sheet)
    check_bed(strokes, machine)
    if sheet is not None:
        check_sheet(strokes, machine, sheet, drawing.pens)
    check_keep_outs(strokes, machine, drawing.pens)
    chosen = _listed(areas)
    labels = _layers(layers, len(drawing)) * (len(chosen) + 1) + _areas(chosen, drawing)
    within = (
        None
        if link is None or keep_order
        else not_negative("link", link, unit="mm") * 10.0**machine.decimals
    )
    search = {"effort": effort, "time_limit": time_limit, "keep": keep_order}
    place, park = stands(machine)
    parts = []
    linked = 0.0
    least = 0
    total = 0.0
    for number in _pen_order(pens, drawing.pens):
        runs, labels_of_runs, added, fewest = _joined(strokes, labels, number, within)
        ordered, spent = _ordered(
            runs,
            labels_of_runs,
            metric_of(machine, metric),
            {"home": place, "finish": park, **search},
        )
        parts.append(ordered)
        linked = linked + added
        least = least + fewest
        total = total + spent
        place = park
    whole = _stacked(parts)
    placed = Drawing._make(
        machine.to_mm(whole.points), whole.offsets, whole.pen_index, drawing.pens
    )
    added = linked * machine.unit
    plot = Plot(
        placed, machine, sheet, metric, linked=added, least=least, cost=total, given=len(drawing)
    )
    if any(not item.travel for item in machine.keep_outs):
        _ = plot.legs  # refuses now where no pen-up way leads around the keep-outs
    return plot


def _check_kinds(drawing: Any, machine: Any, sheet: Any) -> None:
    for name, value, kind in (
        ("drawing", drawing, Drawing),
        ("machine", machine, Machine),
        ("sheet", sheet, Sheet),
    ):
        if not isinstance(value, kind) and not (name == "sheet" and value is None):
            raise InvalidValue(
                f"{name} must be a {kind.__name__}, got {type(value).__name__}", name=name
            )


def _layers(layers: Any, count: int) -> IntArray:
    if layers is None:
        return np.zeros(count, np.int64)
    labels = np.asarray(layers)
    if labels.shape != (count,) or (count and labels.dtype.kind not in "iu"):
        raise InvalidValue(
            f"layers must be {count} whole numbers, one for each stroke; got shape {labels.shape} "
            f"of {labels.dtype}"
        )
    return np.unique(labels, return_inverse=True)[1].astype(
        np.int64
    )  # small numbers, which areas may multiply


def _listed(areas: Any) -> list[RegionLike]:
    """One area or several as a list; a Drawing is one area."""
    if isinstance(areas, (Drawing, Sheet, shapely.Polygon, shapely.MultiPolygon)):
        return [areas]
    if isinstance(areas, (str, bytes)) or not isinstance(areas, Iterable):
        raise InvalidValue(
            f"areas must be one area or a sequence of areas, got {areas!r:.100}", name="areas"
        )
    return list(areas)


def _areas(areas: Sequence[RegionLike], drawing: Drawing) -> IntArray:
    """The number (M,) of the first area that holds the middle point of each stroke; the count of
    areas where none does.
    """
    middle = drawing.points[(drawing.offsets[:-1] + drawing.offsets[1:] - 1) // 2]
    result = np.full(len(drawing), len(areas))
    for number in range(len(areas) - 1, -1, -1):
        area = as_area(areas[number], f"areas[{number}]")
        shapely.prepare(area)
        result[shapely.intersects_xy(area, middle)] = number
    return result


def _pen_order(pens: Any, known: tuple[Pen, ...]) -> list[int]:
    """The numbers of the pens in the order in which they draw."""
    if pens is None:
        return list(range(len(known)))
    if isinstance(pens, str):
        one_of("pens", pens, ("light first",))
        return sorted(range(len(known)), key=lambda k: (-_lightness(known[k]), k))
    pens = list(pens) if isinstance(pens, Iterable) else [pens]
    if not all(isinstance(pen, (Pen, str)) for pen in pens):
        raise InvalidValue(
            f'pens must be "light first" or a sequence of Pens or of their names, got {pens!r:.100}',
            name="pens",
        )
    names = [pen.name if isinstance(pen, Pen) else pen for pen in pens]
    missing = [pen.name for pen in known if pen.name not in names]
    if missing or len(set(names)) != len(names):
        raise UnknownName(
            f"pens must name each pen of the drawing once, in order; got {names}, missing {missing}"
        )
    return sorted(range(len(known)), key=lambda k: names.index(known[k].name))


def _lightness(pen: Pen) -> float:
    """Relative luminance of the colour, the coefficients of ITU-R BT.709 on the encoded values:
    enough to tell light from dark.
    """
    red, green, blue = (int(pen.colour[k : k + 2], 16) for k in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _joined(
    strokes: GridStrokes, labels: IntArray, pen: int, within: float | None
) -> tuple[GridStrokes, IntArray, float, int]:
    """The runs of one pen, layer by layer, their layers, the ink in units that joining added, and
    the fewest runs that can be.
    """
    mine = np.flatnonzero(strokes.pen_index == pen)
    parts = []
    groups = []
    linked = 0.0
    least = 0
    for label in np.unique(labels[mine]):
        layer = strokes.chosen(mine[labels[mine] == label])
        if within is not None:
            joined = join(layer.points, layer.offsets, tolerance=within)
            linked = linked + joined.linked
            least = least + joined.least
            layer = GridStrokes(
                joined.points, joined.offsets, np.full(len(joined.offsets) - 1, pen)
            )
        parts.append(layer)
        groups.append(np.full(len(layer), label))
    if within is None:
        return strokes.chosen(mine), labels[mine], 0.0, len(mine)
    return _stacked(parts), np.concatenate(groups), linked, least


def _ordered(
    runs: GridStrokes, labels: IntArray, metric: FloatArray, search: dict[str, Any]
) -> tuple[GridStrokes, float]:
    """The runs of one pen in the order, direction and start found, and what its pen-up moves
    cost.
    """
    groups = labels if len(np.unique(labels)) > 1 else None
    found = order(Runs(runs.points, runs.offsets), metric, groups=groups, **search)
    turned = ragged.rotated(runs.points, runs.offsets, _by_run(found.sequence, found.start))
    rows, offsets = ragged.take(runs.offsets, found.sequence, found.reverse)
    return GridStrokes(turned[rows], offsets, runs.pen_index[found.sequence]), found.cost


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
