"""Cellular automata as lines: outlines of live cells, or a line for each run of them."""

from __future__ import annotations

import math
import re

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.growth.afford import Limit, affordable
from plotlib.growth.mazes import _Cells, _runs
from plotlib.interrupt import interruptible
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, Stage, asked

_DRAWN = ("outlines", "runs")
_STARTS = ("single", "random")
_LIFE = re.compile(r"B([0-8]*)/S([0-8]*)", re.IGNORECASE)
_MOST = 400_000  # cells
_MOST_WORK = 2e10  # cells stepped: some minutes


def automaton(
    region: RegionLike,
    *,
    rule: int | str = 30,
    spacing: float = 1.5,
    start: str | None = None,
    steps: int = 30,
    drawn: str = "outlines",
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """A cellular automaton as lines: an elementary one with its generations one below the other,
    or a life-like one of two dimensions after some steps.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; cells that lie in it as a whole take part, all others stay dead.
    rule : int or str, default 30
        The number of an elementary rule, 0 … 255; or a life-like rule such as "B3/S23": with how
        many live neighbours a cell is born, and with how many it lives on. "B3/S12345" grows mazes,
        "B5678/S45678" coasts.
    spacing : float, default 1.5
        The side of a cell, mm, > 0.
    start : {"single", "random"}, optional
        One live cell, in the middle (of the top row for an elementary rule), or each live with a
        chance of one half. Without it single for elementary rules, random for life-like ones.
    steps : int, default 30
        How many generations a life-like rule is followed, >= 0; elementary ones fill the area.
    drawn : {"outlines", "runs"}, default "outlines"
        Closed outlines of what lives, or a line through the middles of each run of live cells in a
        row, as a dot where it is a single one.
    seed : int or numpy Generator, default 0
        Which cells live in a random start.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        Closed strokes, by the even-odd rule the area of all live cells; or straight ones.

    Raises
    ------
    InvalidValue
        If an argument is invalid, there are more than 400,000 cells, or more than 20 thousand
        million steps of a cell would be taken.
    UnknownName
        If ``start`` or ``drawn`` is none of its two.

    References
    ----------
    S. Wolfram, *Statistical Mechanics of Cellular Automata*, Reviews of Modern Physics 55, 1983;
    E. R. Berlekamp, J. H. Conway, R. K. Guy, *Winning Ways for Your Mathematical Plays*, 1982.

    Examples
    --------
    >>> from shapely import box
    >>> triangle = automaton(box(0, 0, 31, 16), rule=90, spacing=1, drawn="runs")
    >>> len(triangle)  # 3 ** 4: no two live cells side by side
    81
    """
    chosen = _rule(rule)
    elementary = isinstance(chosen, int)
    usual = "single" if elementary else "random"
    begin = usual if start is None else checks.one_of("start", start, _STARTS)
    count = checks.whole("steps", steps, low=0)
    how = checks.one_of("drawn", drawn, _DRAWN)
    random = checks.generator(seed)
    cells = _Cells(region, spacing)
    is_in = cells.is_in[::-1]  # the first row on top
    _foresee(cells)
    stepped = 0 if elementary else count * is_in.size
    fewer = f"take fewer, {math.floor(_MOST_WORK / is_in.size):,} at most"
    checks.affordable("steps", count, stepped, _MOST_WORK, "steps of a cell", fewer)
    if not is_in.any():
        return Drawing(pen=pen)
    first = _first(is_in, begin, elementary, random)
    lines_of = _outlines if how == "outlines" else _lines
    with asked("growing cells", progress) as work:
        alive = _grown(chosen, is_in, first, count, work)[::-1]
        points, offsets = interruptible(lambda _: lines_of(alive))
    corner = np.array([cells.x, cells.y])
    return Drawing.from_arrays(points * cells.side + corner, offsets, pen=as_pen(pen))


def _foresee(cells: _Cells) -> None:
    """Refuse a spacing that makes too many cells."""
    rows, columns = cells.is_in.shape

    def number(side: float) -> float:
        """With what is left over on the sides, which may be nearly a cell."""
        finer = cells.side / side
        return float(rows * columns if finer == 1 else (rows + 1) * (columns + 1) * finer**2)

    limit = Limit(number, _MOST, "cells")
    affordable("spacing", cells.side, limit, remedy="take a larger one, {} mm or more")


def _rule(rule: int | str) -> int | tuple[int, int]:
    """An elementary rule, or bits of births and survivals."""
    if not isinstance(rule, str):
        return checks.whole("rule", rule, low=0, high=255)
    found = _LIFE.fullmatch(rule.strip())
    if found is None:
        raise InvalidValue(
            f"rule must be 0 … 255, or births and survivals such as 'B3/S23', got {rule!r:.200}",
            name="rule",
            value=rule,
        )
    birth, survival = (sum(1 << int(digit) for digit in set(part)) for part in found.groups())
    return birth, survival


def _first(
    is_in: BoolArray, start: str, elementary: bool, random: np.random.Generator
) -> BoolArray:
    """The first generation (rows, columns); of an elementary rule its first row counts."""
    if start == "random":
        return (random.random(is_in.shape) < 0.5) & is_in
    first = np.zeros(is_in.shape, np.bool_)
    row = int(np.argmax(is_in.any(axis=1))) if elementary else is_in.shape[0] // 2
    columns = np.nonzero(is_in[row])[0]
    if len(columns):
        middle = (is_in.shape[1] - 1) / 2
        first[row, columns[np.argmin(np.abs(columns - middle))]] = True
    return first


def _grown(
    rule: int | tuple[int, int], is_in: BoolArray, alive: BoolArray, steps: int, work: Stage
) -> BoolArray:
    """The rows of an elementary rule, or the last generation of a life-like one."""
    from plotlib.growth.automata_kernel import generation, rows_of

    if isinstance(rule, int):
        top = int(np.argmax(is_in.any(axis=1)))
        grown = np.zeros(is_in.shape, np.bool_)
        grown[top:] = rows_of(rule, is_in[top:], alive[top])
        return grown
    for k in range(steps):
        alive = generation(*rule, is_in, alive)
        work.done((k + 1) / steps)
    return alive


def _outlines(alive: BoolArray) -> ragged.Ragged:
    """Closed outlines in cells, along grid lines with a point at each corner."""
    row, column = np.nonzero(alive)
    if not len(row):
        return ragged.empty()
    joined = shapely.coverage_union_all(shapely.box(column, row, column + 1, row + 1))
    rings = shapely.get_rings(shapely.get_parts(joined))
    strokes = [_corners(np.asarray(ring.coords)) for ring in rings]
    return ragged.pack(strokes)


def _corners(ring: FloatArray) -> FloatArray:
    """A ring without the points at which it goes straight on."""
    inner = ring[:-1]
    before = inner - np.roll(inner, 1, axis=0)
    after = np.roll(inner, -1, axis=0) - inner
    turns = inner[before[:, 0] * after[:, 1] != before[:, 1] * after[:, 0]]
    return np.concatenate([turns, turns[:1]])


def _lines(alive: BoolArray) -> ragged.Ragged:
    """Lines in cells through the middles of runs; a run of one cell is a dot."""
    ends = _runs(alive) + np.array([0.5, 0.5, -0.5, 0.5])
    is_dot = ends[:, 0] == ends[:, 2]
    counts = np.where(is_dot, 1, 2)
    points = ends.reshape(-1, 2)
    kept = np.ones(len(points), np.bool_)
    kept[1::2] = ~is_dot
    return points[kept], ragged.offsets_of(counts)
