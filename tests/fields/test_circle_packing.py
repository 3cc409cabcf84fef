import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from plotlib import Pen, fields
from plotlib.errors import InvalidValue
from plotlib.fields import circle_packing_kernel as kernel
from tests.oracles_fields import plain_packing

AREA = Point(40, 40).buffer(38).difference(Point(30, 40).buffer(9))


def gaps(circles):
    apart = (
        np.hypot(*(circles[:, None, :2] - circles[None, :, :2]).transpose(2, 0, 1))
        - circles[:, None, 2]
        - circles[None, :, 2]
    )
    return apart[np.triu_indices(len(circles), 1)]


@pytest.mark.parametrize("gap", [0.0, 0.5])
def test_circles_neither_touch_nor_leave(gap):
    circles = fields.circle_packing(AREA, smallest=0.6, largest=7, gap=gap, seed=2)
    assert len(circles) > 60
    assert gaps(circles).min() >= gap - 1e-9
    edge = shapely.distance(shapely.points(circles[:, :2]), AREA.boundary) - circles[:, 2]
    assert edge.min() >= gap - 1e-9
    assert shapely.contains_xy(AREA, *circles[:, :2].T).all()
    assert circles[:, 2].max() <= 7
    assert circles[:, 2].min() >= 0.6


def test_little_room_is_left():
    circles = fields.circle_packing(AREA, smallest=0.5, largest=7, candidates=40_000)
    probes = np.random.default_rng(3).uniform((2, 2), (78, 78), (8000, 2))
    probes = probes[shapely.contains_xy(AREA, *probes.T)]
    room = shapely.distance(shapely.points(probes), AREA.boundary)
    room = np.minimum(
        room,
        (
            np.hypot(*(probes[:, None] - circles[None, :, :2]).transpose(2, 0, 1)) - circles[:, 2]
        ).min(axis=1),
    )
    assert np.mean(room > 0.5) < 0.004
    assert np.pi * (circles[:, 2] ** 2).sum() > 0.75 * AREA.area


def test_size_as_a_field():
    circles = fields.circle_packing(
        box(0, 0, 100, 40), smallest=0.5, largest=fields.ramp() * 0.05 + 0.6, seed=1
    )
    assert (circles[:, 2] <= circles[:, 0] * 0.05 + 0.6 + 1e-12).all()
    assert circles[circles[:, 0] > 80, 2].max() > 3
    assert circles[circles[:, 0] < 20, 2].max() < 1.7


def test_drawn_circles():
    drawing = fields.circles(np.array([[10, 20, 5], [30, 20, 0.3]]), tolerance=0.01, pen=Pen("a"))
    assert drawing.is_closed.all()
    assert np.hypot(*(drawing[0] - (10, 20)).T) == pytest.approx(np.full(len(drawing[0]), 5))
    middles = (drawing[0][1:] + drawing[0][:-1]) / 2
    assert 5 - np.hypot(*(middles - (10, 20)).T).min() <= 0.01
    assert len(fields.circles(np.empty((0, 3)))) == 0
    with pytest.raises(InvalidValue, match="radius above 0"):
        fields.circles(np.array([[0, 0, -1]]))


def test_seed_nothing_and_refusals():
    a, b, c = (
        fields.circle_packing(AREA, smallest=1, largest=5, seed=seed, candidates=2000)
        for seed in (1, 1, 2)
    )
    assert a.tobytes() == b.tobytes() != c.tobytes()
    assert fields.circle_packing(Polygon(), smallest=1, largest=2).shape == (0, 3)
    assert fields.circle_packing(box(0, 0, 1, 1), smallest=1, largest=2).shape == (0, 3)
    with pytest.raises(InvalidValue, match=r"largest must be at least smallest \(3 mm\)"):
        fields.circle_packing(AREA, smallest=3, largest=2)


def test_no_circles_are_no_drawing():
    assert len(fields.circles([])) == 0
    for wrong in ("a", None, [1, [2, 3]], [(1, 2)], [(0, 0, 1e300)]):
        with pytest.raises(InvalidValue, match="circles must"):
            fields.circles(wrong)


@pytest.mark.parametrize("budget", [1, 10_000])
@pytest.mark.parametrize("gap", [0.0, 0.4])
def test_equals_the_slow_one_however_often_it_pauses(gap, budget):
    random = np.random.default_rng(5)
    spots = random.uniform(0, 40, (600, 2))
    room = random.uniform(0.5, 4, 600)
    state = kernel.packing(spots, room, gap)
    while not kernel.pack(state, spots, 0.5, gap, budget):
        pass
    slow = plain_packing(spots, room, 0.5, gap)
    assert 60 < len(slow) < 600
    np.testing.assert_allclose(state.circles[: state.counts[kernel.COUNT]], slow, atol=1e-12)
