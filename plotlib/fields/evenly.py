"""Evenly spaced streamlines: lines that follow a vector field at an even distance, long ones
first.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import grid
from plotlib.fields.flowgrid import sampled_flow
from plotlib.fields.scalar import ScalarField
from plotlib.fields.taper import tapered
from plotlib.fields.vector import VectorField, as_vector
from plotlib.fields.walls import walls_of
from plotlib.pen import Pen
from plotlib.progress import Progress, asked

if TYPE_CHECKING:
    from plotlib.fields.flow_kernel import Flow
    from plotlib.fields.lines_kernel import Rules, State
    from plotlib.fields.walls_kernel import Walls

_STRIDE = 0.25  # spacings between the samples of a line
_BUDGET = 200_000  # samples traced between two looks at the clock
_FIRST_SEEDS = 32  # tried at the start; the longest goes first
_SHORTEST = 5.0  # spacings
_MOST = 10_000_000  # square spacings in the area


def streamlines(
    field: VectorField,
    region: RegionLike,
    *,
    spacing: float | ScalarField,
    test: float = 0.5,
    shortest: float | None = None,
    order: str = "longest",
    taper: float = 0.0,
    taper_edge: bool = False,
    tolerance: float = 0.02,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Streamlines of a vector field at an even distance from each other, over an area.

    Seeds stand at the spacing beside lines that are drawn already, and lines grow both ways
    until the edge of the area, a critical point, or the test distance from another line. The
    longest candidates go first, loops are closed exactly, and holes that are left are filled,
    widest first.

    Parameters
    ----------
    field : VectorField
        The directions; how long its vectors are does not matter. It is sampled once on a grid as a
        smooth spline, finely enough that 99 of 100 directions are right within half a degree (or
        with 4 million nodes, where that does not do): what is compiled cannot call Python.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in. Lines end ``tolerance`` inside its edge.
    spacing : float or ScalarField
        The distance in mm between lines, > 0; as a field it may change from place to place, to
        shade.
    test : float, default 0.5
        The test distance as a share of the spacing, 0.05 … 1: no two lines come nearer. More
        gives a more even picture of shorter lines.
    shortest : float, optional
        Shorter lines are left out, mm. When not given: 5 spacings, or half of that in holes
        wider than 2 spacings.
    order : {"longest", "seed"}, default "longest"
        Which candidate goes first: the longest, or the one that was found first (quicker, about a
        tenth more lines).
    taper : float, default 0
        Open ends within the area are drawn back by a random length up to this many mm, so that
        they do not stand in rows.
    taper_edge : bool, default False
        Draw back the ends on the edge of the area too, which then looks frayed.
    tolerance : float, default 0.02
        By how much points may move when loops are closed and points dropped, mm; never more than
        1/25 of the spacing.
    seed : int or numpy Generator, default 0
        Where the first candidates stand, and the taper.
    pen : Pen, optional
        The pen; the default pen otherwise.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        Lines in the order they were taken. Where the spacing is one number, no two lines are
        nearer than ``test * spacing``. Iterative: on other processors the picture may differ
        where two candidates are equally good.

    Raises
    ------
    InvalidValue, UnknownName
        If an argument is invalid, the field is not finite in or near the area, a spacing that
        is a field is not above 0 in the whole area, or the spacing is so small that more than
        10 million squares of its size fit into the area.

    References
    ----------
    B. Jobard, W. Lefer, *Creating Evenly-Spaced Streamlines of Arbitrary Density*, Visualization in
    Scientific Computing '97, 43–55. A. Mebarki, P. Alliez, O. Devillers, *Farthest Point Seeding
    for Efficient Placement of Streamlines*, IEEE Visualization 2005.

    Examples
    --------
    >>> from shapely import Point
    >>> from plotlib.fields.distance import distance_to_point
    >>> rings = streamlines(distance_to_point((0, 0)).curl(), Point(0, 0).buffer(20), spacing=2)
    >>> bool(rings.is_closed.all()), bool(len(rings) >= 8)
    (True, True)
    """
    field = as_vector("field", field)
    ratio = checks.between("test", test, 0.05, 1.0)
    checks.one_of("order", order, ("longest", "seed"))
    draw_back = checks.not_negative("taper", taper, unit="mm")
    frays = checks.flag("taper_edge", taper_edge)
    stubs = None if shortest is None else checks.not_negative("shortest", shortest, unit="mm")
    area = as_area(region)
    random = checks.generator(seed)
    least = _least_spacing(spacing, area)
    slack = min(checks.positive("tolerance", tolerance, unit="mm"), least / 25)
    inner = shapely.buffer(area, -slack, join_style="mitre")
    if inner.is_empty:
        return Drawing(pen=pen)
    flow = sampled_flow(field, inner, least)
    rules = _rules(
        flow, spacing, least=least, ratio=ratio, slack=slack, shortest=stubs, order=order
    )
    with asked("drawing streamlines", progress) as work:
        state = _run(inner, flow, rules, least, random, work.done)
    points, offsets = reshape.simplify(*_strokes(state), slack / 2)
    if draw_back:
        spared = None if frays else _on_edge(points, offsets, inner, slack)
        points, offsets = tapered(points, offsets, draw_back, random, spared=spared)
    return Drawing.from_arrays(points, offsets, pen=pen)


def _on_edge(
    points: FloatArray, offsets: IntArray, inner: Polygon | MultiPolygon, near: float
) -> BoolArray:
    """Which first and last points (2, M) of the lines lie on the edge."""
    edge = inner.boundary
    shapely.prepare(edge)
    ends = points[np.stack([offsets[:-1], offsets[1:] - 1])]
    return np.asarray(shapely.dwithin(shapely.points(ends), edge, near))


def _least_spacing(spacing: float | ScalarField, area: Polygon | MultiPolygon) -> float:
    if not isinstance(spacing, ScalarField):
        return checks.positive("spacing", spacing, unit="mm")
    if area.is_empty:
        return 1.0
    left, bottom, right, top = area.bounds
    nodes = grid.over(area.bounds, max(right - left, top - bottom) / 400)
    shapely.prepare(area)
    inside = shapely.contains_xy(area, nodes.row, nodes.column)
    edge = shapely.get_coordinates(
        shapely.segmentize(area.boundary, max(right - left, top - bottom) / 400)
    )
    x, y = (
        np.concatenate([part[inside], edge[:, k]])
        for k, part in enumerate(np.broadcast_arrays(nodes.row, nodes.column))
    )
    numbers = np.asarray(spacing(x, y))
    worst = int(np.argmin(np.where(np.isfinite(numbers), numbers, -np.inf)))
    if not numbers[worst] > 0 or not math.isfinite(numbers[worst]):
        where = f"({x[worst]:g}, {y[worst]:g})"
        raise InvalidValue(
            f"spacing is {numbers[worst]:g} mm at {where}; keep it above 0 in the area, with "
            f".maximum(…)",
            value=numbers[worst],
        )
    return float(numbers[worst])


def _rules(
    flow: Flow,
    spacing: ScalarField | float,
    *,
    least: float,
    ratio: float,
    slack: float,
    shortest: float | None,
    order: str,
) -> Rules:
    from plotlib.fields.lines_kernel import Rules

    spread = (
        np.full((1, 1), least)
        if not isinstance(spacing, ScalarField)
        else _on_nodes(spacing, flow, least)
    )
    stubs, in_holes = (
        (_SHORTEST, 0.5 * _SHORTEST) if shortest is None else (shortest / least, shortest / least)
    )
    longest = 0.5 * min(flow.cell_x, flow.cell_y)
    return Rules(
        spread, ratio, 2 * slack, slack / 2, _STRIDE, longest, stubs, in_holes, order == "longest"
    )


def _on_nodes(spacing: ScalarField, flow: Flow, least: float) -> FloatArray:
    """The spacing on the nodes of the flow; outside the area, where it may be anything, it is
    kept above what it is inside.
    """
    rows, columns = flow.coefficients.shape[:2]
    across = np.arange(columns, dtype=np.float64)
    up = np.arange(rows, dtype=np.float64)
    nodes = grid.Grid(flow.x + flow.cell_x * across, flow.y + flow.cell_y * up)
    spread: FloatArray = np.maximum(grid.values(spacing, nodes, "spacing"), least)
    return spread


def _state(
    bounds: tuple[float, float, float, float], test: float, samples: int, lines: int
) -> State:
    from plotlib.fields.lines_kernel import State

    left, bottom, right, top = bounds
    cell = max(test, max(right - left, top - bottom) / 5000)
    columns, rows = (math.ceil(side / cell) + 3 for side in (right - left, top - bottom))
    return State(
        x=np.empty(samples),
        y=np.empty(samples),
        along=np.empty(samples),
        owner=np.empty(samples, np.int64),
        below=np.empty(samples, np.int64),
        cells=np.full((rows, columns), -1, np.int64),
        first=np.empty(lines, np.int64),
        forward=np.empty(lines, np.int64),
        closed=np.empty(lines, np.int64),
        candidate=np.empty((samples, 3)),
        heap=np.empty(samples, np.int64),
        counts=np.zeros(4, np.int64),
        left=left - cell,
        bottom=bottom - cell,
        cell=cell,
    )


def _enlarged(state: State) -> State:
    """The same state with room for twice as much."""
    grown: dict[str, Any] = {}
    for name in (
        "x",
        "y",
        "along",
        "owner",
        "below",
        "first",
        "forward",
        "closed",
        "candidate",
        "heap",
    ):
        old = getattr(state, name)
        new = np.empty((2 * len(old), *old.shape[1:]), old.dtype)
        new[: len(old)] = old
        grown[name] = new
    return state._replace(**grown)


def _run(
    area: Polygon | MultiPolygon,
    flow: Flow,
    rules: Rules,
    least: float,
    random: np.random.Generator,
    report: Callable[[float], None],
) -> State:
    """First the candidates beside lines, then the holes that are left, twice."""
    from plotlib.fields import evenly_kernel as kernel
    from plotlib.fields.lines_kernel import CANDIDATES

    left, bottom, right, top = area.bounds
    walls = walls_of(area, 2 * least)
    expected = area.area * float((1 / rules.spacing**2).mean())
    if expected > _MOST:
        wanted = least * math.sqrt(expected / _MOST)
        raise InvalidValue(
            f"a spacing of {least:g} mm is too fine for this area; take "
            f"{checks.two_digits(wanted)} mm or more",
            name="spacing",
            value=least,
        )
    state = _state(
        area.bounds, rules.ratio * least, 6 * int(expected) + 10_000, int(expected / 20) + 1000
    )
    for x, y in random.uniform((left, bottom), (right, top), (_FIRST_SEEDS, 2)):
        kernel.push(state, x, y, math.inf if rules.longest_first else 0.0)
    xs, ys = (
        np.arange(low + least / 4, high, least / 2) for low, high in ((left, right), (bottom, top))
    )
    for _ in range(3):
        state = _worked_off(
            state,
            flow,
            walls,
            rules,
            lambda samples: report(min(0.99, samples * _STRIDE / expected)),
        )
        found = _holes(state, flow, walls, rules, xs, ys)
        while state.counts[CANDIDATES] + len(found) + 8 >= len(state.heap):
            state = _enlarged(state)
        for x, y, far in found[np.argsort(-found[:, 2], kind="stable")]:
            kernel.push(state, x, y, far - kernel.HOLE)
    report(1.0)
    return state


def _holes(
    state: State, flow: Flow, walls: Walls, rules: Rules, xs: FloatArray, ys: FloatArray
) -> FloatArray:
    """The holes (n, 3) that are left, looked for in some rows at a time so that Ctrl-C is heard."""
    from plotlib.fields.evenly_kernel import holes

    rows = max(1, _BUDGET // max(1, len(xs)))
    found = [
        holes(state, flow, walls, rules, xs, ys[start : start + rows])
        for start in range(0, len(ys), rows)
    ]
    return np.concatenate([np.empty((0, 3)), *found])


def _worked_off(
    state: State, flow: Flow, walls: Walls, rules: Rules, report: Callable[[int], None]
) -> State:
    from plotlib.fields.evenly_kernel import fill
    from plotlib.fields.lines_kernel import DONE, FULL, SAMPLES

    while True:
        ending = fill(state, flow, walls, rules, _BUDGET)
        if ending == DONE:
            return state
        if ending == FULL:
            state = _enlarged(state)
        report(int(state.counts[SAMPLES]))


def _strokes(state: State) -> tuple[FloatArray, IntArray]:
    """Each line from its backward end to its forward end."""
    lines = int(state.counts[1])
    samples = int(state.counts[0])
    first = state.first[:lines]
    counts = np.diff(np.append(first, samples))
    offsets = ragged.offsets_of(counts)
    step = np.arange(samples) - np.repeat(first, counts)
    forward = np.repeat(state.forward[:lines], counts)
    total = np.repeat(counts, counts)
    place = np.where(step > forward, total - 1 - step, total - 1 - forward + step)
    points = np.empty((samples, 2))
    rows = np.repeat(first, counts) + place
    points[rows, 0] = state.x[:samples]
    points[rows, 1] = state.y[:samples]
    return points, offsets
