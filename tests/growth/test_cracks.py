"""Cracks that stop at cracks."""

from __future__ import annotations

import sys

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from plotlib import Drawing, growth
from plotlib.errors import InvalidValue
from plotlib.growth.cracks import _tips
from tests.outside import MEMORY, published

making = sys.modules["plotlib.growth.cracks"]  # the name in the package is the function
RING = Point(0, 0).buffer(12).difference(Point(2, 0).buffer(5))


def cells(drawing: Drawing, area: Polygon) -> list[Polygon]:
    lines = [*drawing.to_shapely(), area.boundary]
    net = shapely.union_all(lines, grid_size=1e-5)
    return list(shapely.get_parts(shapely.polygonize([net])))


@published(
    module="growth",
    source="M. S. Mackisack, R. E. Miles, Advances in Applied Probability 28, 1996",
    kind=MEMORY,
    claim="cracks that end at cracks make one cell more each",
)
@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.floats(1.2, 15), st.floats(0, 60), st.booleans())
def test_cells_and_corners(seed: int, spacing: float, lead: float, square: bool) -> None:
    """In a convex area each crack makes one cell more and four corners more, so that a cell has
    four on average (M. S. Mackisack, R. E. Miles, *Homogeneous Rectangular Tessellations*,
    Advances in Applied Probability 28, 1996, from memory): no crack crosses one or ends free.
    """
    area = box(-7, 2, 21, 22)
    angles = [10, 100] if square else None
    drawing = growth.cracks(area, spacing=spacing, lead=lead, angles=angles, seed=seed)
    assert len(drawing) == np.ceil(28 * 20 / spacing**2)
    assert drawing == growth.cracks(
        area, spacing=spacing, lead=lead, angles=angles, seed=seed, progress=False
    )
    faces = cells(drawing, area)
    slivers = sum(face.area < 1e-4 for face in faces)
    assert abs(len(faces) - len(drawing) - 1) <= slivers + 2 * (len(drawing) > 100)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32), st.floats(0.8, 9), st.floats(0, 30))
def test_stays_in_its_area(seed: int, spacing: float, lead: float) -> None:
    drawing = growth.cracks(RING, spacing=spacing, lead=lead, seed=seed)
    lines = shapely.union_all(drawing.to_shapely())
    assert shapely.covers(RING.buffer(1e-6), lines)


def moved_in_small_steps(
    start: np.ndarray, way: np.ndarray, born: np.ndarray, area: Polygon, step: float
) -> np.ndarray:
    """How far each tip gets, by moving all of them at once; a crack stops where its next step
    meets what was drawn.
    """
    at = np.zeros(len(start))
    alive = np.ones(len(start), bool)
    time = 0.0
    while alive.any():
        time += step
        for k in np.nonzero(alive)[0]:
            if time < born[k]:
                continue
            ahead = shapely.LineString(
                [start[k] + way[k] * at[k], start[k] + way[k] * (at[k] + step)]
            )
            drawn = [
                shapely.LineString([start[j], start[j] + way[j] * at[j]])
                for j in range(len(start))
                if j // 2 != k // 2 and at[j] > 0
            ]
            if not area.covers(ahead) or shapely.intersects(ahead, drawn).any():
                alive[k] = False
            else:
                at[k] += step
    return at


@pytest.mark.parametrize(("seed", "lead"), [(1, 0.0), (2, 0.0), (3, 12.0)])
def test_as_tips_that_are_moved_in_small_steps(seed: int, lead: float) -> None:
    area = box(0, 0, 20, 20)
    tips = _tips(area, 16, None, lead, np.random.default_rng(seed))
    slow = moved_in_small_steps(*tips, area, 0.05)
    drawing = growth.cracks(area, spacing=5, lead=lead, seed=seed)
    found = np.hypot(*np.diff(drawing.points.reshape(-1, 2, 2), axis=1)[:, 0].T)
    # a tie within a step may go the other way, and then other cracks grow on
    near = np.abs(found - slow.reshape(-1, 2).sum(axis=1)) < 0.3
    assert near.sum() >= 14


def test_corners_are_exact_where_nothing_is_rounded() -> None:
    """Four corners a crack, and four of the sheet, told by the angles of the cells."""
    area = box(0, 0, 40, 40)
    drawing = growth.cracks(area, spacing=4, seed=5)
    corners = 0
    faces = cells(drawing, area)
    for face in faces:
        ring = np.asarray(face.exterior.coords)[:-1]
        before = ring - np.roll(ring, 1, axis=0)
        after = np.roll(ring, -1, axis=0) - ring
        turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        sine = turn / np.hypot(*before.T) / np.hypot(*after.T)
        corners += int((np.abs(sine) > 2e-3).sum())
    assert len(faces) == len(drawing) + 1 == 101
    assert corners == pytest.approx(4 * len(faces), abs=4)


def test_angles_and_refusals() -> None:
    drawing = growth.cracks(RING, spacing=2, angles=[30, 120], seed=4)
    way = np.diff(drawing.points.reshape(-1, 2, 2), axis=1)[:, 0]
    turn = np.degrees(np.arctan2(way[:, 1], way[:, 0])) % 180
    assert np.isclose(turn, 30).any()
    assert (np.isclose(turn, 30) | np.isclose(turn, 120)).all()
    assert len(growth.cracks(Polygon(), spacing=2)) == 0
    for options, words in (
        ({"spacing": 1e-3}, "take a wider one"),
        ({"spacing": 0}, "spacing"),
        ({"angles": []}, "at least one direction"),
        ({"lead": -1}, "lead"),
    ):
        with pytest.raises(InvalidValue, match=words):
            growth.cracks(RING, **options)
    told: list[float] = []
    growth.cracks(RING, progress=told.append)
    assert told[-1] == 1.0


def test_progress_is_told_within_a_round(monkeypatch: pytest.MonkeyPatch) -> None:
    """Most cracks end in the first round, which told nothing until its end."""
    monkeypatch.setattr(making, "_AT_ONCE", 100)
    told: list[float] = []
    growth.cracks(box(0, 0, 40, 40), spacing=1, progress=told.append)
    assert told == sorted(told)
    assert len([share for share in told if 0 < share < 0.5]) > 10


def test_few_crossings_are_looked_at_beyond_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Young cracks among many old ones are short; their ways were followed as far as old ones had
    come by then, past some 170 crossings for each crack.
    """
    looked: list[int] = []
    near = making._near

    def counted(*given: object) -> object:
        found = near(*given)
        looked.append(len(found[0]))
        return found

    monkeypatch.setattr(making, "_near", counted)
    drawn = growth.cracks(box(0, 0, 50, 50), spacing=1, lead=50)
    assert len(drawn) == 2_500
    assert sum(looked) < 40 * len(drawn)
