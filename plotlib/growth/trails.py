"""Trails of many agents that follow each other, as slime moulds do: nets of veins."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, Seed
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import ScalarField, from_array
from plotlib.progress import Progress, Stage, asked

if TYPE_CHECKING:
    from plotlib.growth.trails_kernel import Habits, World

_MOST = 4_000_000  # cells
_MOST_WORK = 20e9  # cells stepped: some minutes
_AT_ONCE = 4_000_000  # cells stepped between two looks at the clock
_RIM = 3  # cells beside the area along x and along y, at most
_FULL = 0.99  # the share of the area in which the trail is at most 1


def trails(
    region: RegionLike,
    *,
    cell: float = 0.2,
    density: float = 0.15,
    sensor_offset: float | None = None,
    sensor_angle: float = 45.0,
    rotation_angle: float = 45.0,
    decay: float = 0.1,
    food: ScalarField | None = None,
    steps: int = 200,
    seed: Seed = 0,
    progress: Progress = None,
) -> ScalarField:
    """Trails that many agents leave and follow, as a field: nets of veins, as slime moulds grow.

    Draw them with ``fields.isolines(…, levels=[0.5])``, which gives both sides of each vein, or let
    a fill follow them. In time small meshes close and the net grows coarser.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area in which agents live.
    cell : float, default 0.2
        The side of a cell of the grid in mm, > 0; in a step an agent goes as far.
    density : float, default 0.15
        The share of the cells that have an agent, 0.001 … 0.9.
    sensor_offset : float, optional
        From an agent to its sensors, mm, 1 … 200 cells; meshes are a few times as wide. Without it
        9 cells.
    sensor_angle : float, default 45.0
        Degrees between the way ahead and the sensors on its left and right, 0 … 180; 22.5 gives
        finer nets.
    rotation_angle : float, default 45.0
        By how many degrees an agent turns, 0 … 180.
    decay : float, default 0.1
        The share of the trail that is lost in a step, 0.001 … 1.
    food : ScalarField, optional
        What comes to the trail in each step anyway, 0 or more, times what an agent leaves: it draws
        agents to it.
    steps : int, default 200
        How many steps, >= 1.
    seed : int or numpy Generator, default 0
        Where agents begin, and how they turn when in doubt.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    ScalarField
        The trail: at most 1 in 99 % of the area, and 0 outside it. Iterative: on other processors
        it may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the area is empty or has more than 4 million cells in its bounds,
        food is below 0 in it, or more than 20 thousand million steps of a cell would be taken.

    References
    ----------
    J. Jones, *Characteristics of Pattern Formation and Evolution in Approximations of Physarum
    Transport Networks*, Artificial Life 16, 2010: angles, offset and decay are as there.

    Examples
    --------
    >>> from shapely import Point
    >>> net = trails(Point(0, 0).buffer(12), steps=50, seed=1)
    >>> 0 <= net(0, 0) < 10
    True
    """
    area = as_area(region)
    pitch = checks.positive("cell", cell, unit="mm")
    share = checks.between("density", density, 0.001, 0.9)
    far = 9 * pitch if sensor_offset is None else sensor_offset
    offset = checks.between("sensor_offset", far, pitch, 200 * pitch, unit="mm") / pitch
    look = math.radians(checks.between("sensor_angle", sensor_angle, 0, 180, unit="degrees"))
    turn = math.radians(checks.between("rotation_angle", rotation_angle, 0, 180, unit="degrees"))
    keep = 1 - checks.between("decay", decay, 0.001, 1)
    count = checks.whole("steps", steps, low=1)
    random = checks.generator(seed)
    if food is not None and not isinstance(food, ScalarField):
        raise InvalidValue(f"food must be a ScalarField, got {food!r:.80}", name="food")
    if area.is_empty:
        raise InvalidValue("region is empty, so that nothing can live in it", name="region")
    x, y = _middles(area, pitch, count)
    is_in = _inside(area, x, y)
    world = _settled(is_in, _meals(food, x, y, is_in), share, random)
    with asked("following trails", progress) as work:
        _live(world, _habits(look, turn, offset, keep), count, work)
    return from_array(_scaled(world.trail, is_in), (x[0], y[0], x[-1], y[-1]))


def _middles(
    area: Polygon | MultiPolygon, cell: float, steps: int
) -> tuple[FloatArray, FloatArray]:
    """The middles of columns and rows, with one more on each side of the area."""
    left, bottom, right, top = area.bounds
    width = right - left
    height = top - bottom
    columns = float(np.ceil(width / cell)) + 2
    rows = float(np.ceil(height / cell)) + 2
    cells = rows * columns
    enough = checks.two_digits(_enough(width, height))
    checks.affordable("cell", cell, cells, _MOST, "cells", f"take {enough} mm or more")
    fewer = f"take {math.floor(_MOST_WORK / cells):,} or fewer, or larger cells"
    checks.affordable("steps", steps, cells * steps, _MOST_WORK, "steps of a cell", fewer)
    x = left + cell * (np.arange(int(columns), dtype=np.float64) - 0.5)
    y = bottom + cell * (np.arange(int(rows), dtype=np.float64) - 0.5)
    return x, y


def _enough(width: float, height: float) -> float:
    """The least cell for the most cells: (width / cell + 3) (height / cell + 3) are as many."""
    half = _RIM * (width + height) / 2
    spare = _MOST - _RIM**2
    return (half + math.sqrt(half**2 + width * height * spare)) / spare


def _inside(area: Polygon | MultiPolygon, x: FloatArray, y: FloatArray) -> BoolArray:
    """Cells whose middle is in the area, none of them on the rim."""
    shapely.prepare(area)
    is_in = np.asarray(shapely.contains_xy(area, x[None, :], y[:, None]), np.bool_)
    is_in[[0, -1]] = False
    is_in[:, [0, -1]] = False
    return is_in


def _meals(food: ScalarField | None, x: FloatArray, y: FloatArray, is_in: BoolArray) -> FloatArray:
    """The food of each cell of the area, 0 elsewhere."""
    if food is None:
        return np.zeros(is_in.shape)
    found = np.broadcast_to(np.asarray(food(*np.meshgrid(x, y)), np.float64), is_in.shape)
    is_right = (found >= 0) & np.isfinite(found)
    wrong = is_in & ~is_right
    if wrong.any():
        j, i = np.argwhere(wrong)[0]
        raise InvalidValue(
            f"food is {found[j, i]:g} at ({x[i]:g}, {y[j]:g}); keep it at 0 or more in the area, "
            f"with .maximum(0)",
            name="food",
        )
    return np.where(is_in, found, 0.0)


def _settled(
    is_in: BoolArray, food: FloatArray, share: float, random: np.random.Generator
) -> World:
    """Agents in cells of their own, with headings at random."""
    from plotlib.growth.random_kernel import state_of
    from plotlib.growth.trails_kernel import World

    places = np.argwhere(is_in)
    chosen = random.permutation(places)[: math.ceil(share * len(places))]
    is_taken = np.zeros(is_in.shape, np.bool_)
    is_taken[chosen[:, 0], chosen[:, 1]] = True
    at = np.ascontiguousarray(chosen[:, ::-1]) + 0.5
    heading = random.uniform(0, 2 * math.pi, len(at))
    trail = np.zeros(is_in.shape)
    return World(is_in, trail, trail.copy(), food, is_taken, at, heading, state_of(random))


def _habits(look: float, turn: float, offset: float, keep: float) -> Habits:
    from plotlib.growth.trails_kernel import Habits

    return Habits(look, turn, offset, keep)


def _live(world: World, habits: Habits, steps: int, work: Stage) -> None:
    """All steps, some at a time."""
    from plotlib.growth.trails_kernel import live

    some = max(1, _AT_ONCE // world.trail.size)
    for begin in range(0, steps, some):
        live(world, habits, min(some, steps - begin))
        work.done(min(begin + some, steps) / steps)


def _scaled(trail: FloatArray, is_in: BoolArray) -> FloatArray:
    """The trail by what most of the area has at most."""
    strong = float(np.quantile(trail[is_in], _FULL)) if is_in.any() else 0.0
    return trail / strong if strong > 0 else trail
