"""Circles that touch: they never overlap, stay inside, and touch three things or more."""

from __future__ import annotations

import gc
import math
import os
import signal
import sys
import threading

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box

from plotlib import Pen, fills
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fills.circles import packed

making = sys.modules["plotlib.fills.circles"]  # the name in the package is the function
RING = Point(0, 0).buffer(10).difference(Point(3, 1).buffer(3))
GULF = Polygon([(0, 0), (30, 0), (30, 30), (15, 12), (0, 30)])


def gaps(found: FloatArray, area: Polygon | MultiPolygon) -> tuple[FloatArray, FloatArray]:
    """Between all circles (n, n), and from each to the edge (n,)."""
    between = np.hypot(*(found[:, None, :2] - found[None, :, :2]).T)
    between -= found[:, 2][:, None] + found[:, 2][None, :]
    np.fill_diagonal(between, np.inf)
    return between, shapely.distance(shapely.points(found[:, :2]), area.boundary) - found[:, 2]


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.tuples(st.floats(3, 14), st.floats(0.3, 1)), min_size=4, max_size=9),
    st.floats(0.4, 1.5),
    st.booleans(),
)
def test_circles_never_overlap_and_stay_inside(
    corners: list[tuple[float, float]], least: float, holed: bool
) -> None:
    turn = np.cumsum([step for _, step in corners])
    turn *= 2 * math.pi / turn[-1]
    far = np.array([radius for radius, _ in corners])
    area = Polygon(far[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])).buffer(0)
    if holed:
        area = area.difference(Point(1, 0.5).buffer(1.5))
    found = packed(area, least)
    if not len(found):
        return
    between, edge = gaps(found, area)
    assert between.min() >= -1e-12
    assert edge.min() >= -1e-12
    assert shapely.contains_xy(area, found[:, 0], found[:, 1]).all()
    assert found[:, 2].min() >= least - 1e-9
    contacts = (np.abs(between) < 1e-9).sum(axis=0) + (edge < 1e-9)
    assert (contacts >= 1).all()


@pytest.mark.parametrize("area", [GULF, RING, box(0, 0, 40, 7)])
def test_each_circle_touches_three_things(area: Polygon) -> None:
    """With straight edges counted one by one; two circles in a corner touch both of its sides."""
    found = packed(area, 0.3)
    between, _ = gaps(found, area)
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(area)]
    edges = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    sides = shapely.distance(
        shapely.points(found[:, :2])[:, None], shapely.linestrings(edges)[None, :]
    )
    touched = (np.abs(between) < 1e-8).sum(axis=0)
    touched += (np.abs(sides - found[:, 2:]) < 1e-8).sum(axis=1)
    assert (touched >= 3).mean() > 0.97
    assert (touched >= 2).all()


def test_nothing_large_is_left_free() -> None:
    """No place of the area is farther from all that there is than the smallest radius."""
    for area, least in ((GULF, 0.4), (RING, 0.25)):
        found = packed(area, least)
        left, bottom, right, top = area.bounds
        x, y = np.meshgrid(np.linspace(left, right, 301), np.linspace(bottom, top, 301))
        inside = shapely.contains_xy(area, x, y)
        points = np.column_stack([x[inside], y[inside]])
        free = shapely.distance(shapely.points(points), area.boundary)
        for cx, cy, radius in found:
            free = np.minimum(free, np.hypot(points[:, 0] - cx, points[:, 1] - cy) - radius)
        assert free.max() < least * 1.0001


def test_a_strip_is_filled_from_one_end() -> None:
    """Between parallel sides a circle may slide: each goes on until it touches the one before."""
    found = packed(box(0, 0, 39, 6), 1.0)
    large = np.sort(found[found[:, 2] > 2.9], axis=0)
    assert len(large) == 6
    assert large[:, 1] == pytest.approx(3.0)
    assert np.diff(large[:, 0]) == pytest.approx(6.0)


def test_gap_inset_and_pen() -> None:
    pen = Pen("fine", width=0.4)
    wide = fills.circles(GULF, smallest=0.8, gap=0.5, pen=pen)
    found = np.array([(*(s[:-1].mean(axis=0)), np.ptp(s[:, 0]) / 2) for s in wide])
    assert found[:, 2].min() > 0.79
    between, edge = gaps(found, GULF)
    assert between.min() == pytest.approx(0.5, abs=0.02)
    assert edge.min() == pytest.approx(0.7, abs=0.02)
    ink = shapely.buffer(wide.to_shapely(), pen.width / 2)
    assert shapely.covers(GULF.buffer(1e-6), ink).all()
    assert wide.pens == (pen,)
    bare = fills.circles(GULF, smallest=0.8, inset=False, pen=pen)
    assert bare.bounds[1] == pytest.approx(0, abs=1e-9)


def test_parts_nothing_and_same_bytes() -> None:
    two = shapely.union_all([Point(0, 0).buffer(5), box(20, 0, 26, 6), box(40, 0, 41, 1)])
    found = packed(two, 1.0)
    assert (found[:, 0] > 19).any()
    assert (found[:, 0] < 6).any()
    assert len(fills.circles(Polygon(), smallest=1)) == 0
    assert len(fills.circles(box(0, 0, 9, 1), smallest=1)) == 0
    one, same = (fills.circles(RING, smallest=0.4).points.tobytes() for _ in range(2))
    assert one == same


def test_progress_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "_AT_ONCE", 2_000)
    told: list[float] = []
    fills.circles(GULF, smallest=0.4, progress=told.append)
    assert len(told) > 3
    assert told == sorted(told)


@pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")
def test_a_long_run_ends_on_ctrl_c() -> None:
    """Before circles came in slices, the signal waited for the last of them."""
    fills.circles(GULF, smallest=1)  # compiled
    told: list[float] = []
    sender = threading.Timer(0.1, os.kill, (os.getpid(), signal.SIGINT))

    def began(share: float) -> None:
        told.append(share)
        if len(told) == 3:
            sender.start()

    gc.disable()  # what is raised inside a hook of it, as hypothesis has one, is lost
    try:
        with pytest.raises(KeyboardInterrupt):
            fills.circles(shapely.affinity.scale(GULF, 9, 9), smallest=0.6, progress=began)
    finally:
        sender.cancel()
        gc.enable()
    assert 0 <= told[-1] < 0.9


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"smallest": 0}, "smallest"),
        ({"gap": -1}, "gap"),
        ({"tolerance": 0}, "tolerance"),
        ({"inset": -2}, "inset"),
        ({"smallest": 1e-5}, "mm or more"),
        ({"smallest": 1e-300}, "mm or more"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        fills.circles(GULF, **{"smallest": 1, **options})


def test_the_advice_can_be_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "_MOST", 40_000)
    for area in (box(0, 0, 900, 1_100), box(0, 0, 4_000, 30), GULF):
        with pytest.raises(InvalidValue, match="mm or more") as said:
            fills.circles(area, smallest=1e-3)
        enough = float(str(said.value).split("take ")[1].split(" mm")[0])
        assert len(fills.circles(area, smallest=enough)) > 0
