"""Trails: steps against plain Python, agents that are kept, and how a trail spreads and decays."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import fields, growth
from plotlib.checks import BoolArray
from plotlib.errors import InvalidValue
from plotlib.growth.random_kernel import uniform
from plotlib.growth.trails import _settled
from plotlib.growth.trails_kernel import DEPOSIT, Habits, World, live, spread

making = sys.modules["plotlib.growth.trails"]  # the name in the package is the function
RING = Point(0, 0).buffer(12).difference(Point(0, 0).buffer(4))
JONES = Habits(math.radians(22.5), math.radians(45), 9.0, 0.9)


def holes(seed: int, rows: int = 26, columns: int = 31, share: float = 0.9) -> BoolArray:
    """Cells with some left out, and a rim."""
    return np.pad(np.random.default_rng(seed).random((rows, columns)) < share, 1)


def world_of(is_in: BoolArray, share: float = 0.2, seed: int = 1) -> World:
    return _settled(is_in, np.zeros(is_in.shape), share, np.random.default_rng(seed))


class Plain:
    """The same agents, one by one, in words of the paper."""

    def __init__(self, world: World, habits: Habits) -> None:
        self.is_in = world.is_in
        self.food = world.food
        self.habits = habits
        self.trail = world.trail.copy()
        self.at = [tuple(place) for place in world.at.tolist()]
        self.heading = world.heading.tolist()
        self.state = world.state.copy()

    def cell(self, x: float, y: float) -> tuple[int, int]:
        return math.floor(y), math.floor(x)

    def step(self) -> None:
        for k, (x, y) in enumerate(self.at):
            new = (x + math.cos(self.heading[k]), y + math.sin(self.heading[k]))
            others = {self.cell(*place) for place in self.at[:k] + self.at[k + 1 :]}
            if self.is_in[self.cell(*new)] and self.cell(*new) not in others:
                self.at[k] = new
                self.trail[self.cell(*new)] += DEPOSIT
            else:
                self.heading[k] = 2 * math.pi * uniform(self.state)
        for k in range(len(self.at)):
            self.turn(k)
        near = np.pad(self.trail, 1)
        is_near = np.pad(self.is_in, 1)
        flow = np.zeros_like(self.trail)
        for j in range(3):  # in the order of the kernel: its rounding settles who turns at a tie
            for i in range(3):
                window = np.s_[j : j + self.trail.shape[0], i : i + self.trail.shape[1]]
                flow += np.where(is_near[window], near[window] - self.trail, 0.0)
        kept = self.habits.keep * (self.trail + flow / 9)
        self.trail = np.where(self.is_in, kept + self.food, 0.0)

    def turn(self, k: int) -> None:
        x, y = self.at[k]
        found = []
        for side in (1, 0, -1):
            angle = self.heading[k] + side * self.habits.look
            far = self.habits.offset
            row, column = self.cell(x + far * math.cos(angle), y + far * math.sin(angle))
            is_on = 0 <= row < self.is_in.shape[0] and 0 <= column < self.is_in.shape[1]
            is_on = is_on and bool(self.is_in[row, column])
            found.append(self.trail[row, column] if is_on else -1.0)
        left, ahead, right = found
        if ahead > max(left, right):
            return
        if ahead < min(left, right):
            self.heading[k] += self.habits.turn * (1 if uniform(self.state) < 0.5 else -1)
        else:
            self.heading[k] += self.habits.turn * np.sign(left - right)


@pytest.mark.parametrize("share", [0.1, 0.5])
def test_steps_are_those_of_plain_python(share: float) -> None:
    world = world_of(holes(2), share)
    world.food[12:14, 12:14][world.is_in[12:14, 12:14]] = 3.0
    plain = Plain(world, JONES)
    for _ in range(12):
        plain.step()
    live(world, JONES, 12)
    assert np.allclose(world.at, plain.at, atol=1e-9)
    assert np.allclose(world.heading, plain.heading, atol=1e-9)
    assert np.allclose(world.trail, plain.trail, atol=1e-9)


@settings(max_examples=20, deadline=None)
@given(
    st.integers(0, 2**32),
    st.floats(0.02, 0.9),
    st.floats(0, math.pi),
    st.floats(0, math.pi),
    st.floats(1, 60),
)
def test_agents_are_kept_each_in_a_cell_of_its_own(
    seed: int, share: float, look: float, turn: float, offset: float
) -> None:
    world = world_of(holes(seed), share, seed)
    number = math.ceil(share * world.is_in.sum())
    live(world, Habits(look, turn, offset, 0.9), 40)
    cells = np.floor(world.at[:, ::-1]).astype(int)
    assert len(cells) == len(np.unique(cells, axis=0)) == number
    assert world.is_in[cells[:, 0], cells[:, 1]].all()
    taken = np.zeros_like(world.is_taken)
    taken[cells[:, 0], cells[:, 1]] = True
    assert (taken == world.is_taken).all()
    assert (world.trail[~world.is_in] == 0).all()
    assert (world.trail >= 0).all()


def test_a_trail_without_agents_decays_by_its_share_and_keeps_its_sum_otherwise() -> None:
    """After n steps (1 - decay) ** n of it is left, however it spreads and whatever the area."""
    for decay in (0.0, 0.1, 0.35):
        world = world_of(holes(5, share=0.7))
        world.trail[world.is_in] = np.random.default_rng(6).random(int(world.is_in.sum()))
        before = world.trail.sum()
        for _ in range(30):
            spread(world, 1 - decay)
        assert world.trail.sum() == pytest.approx(before * (1 - decay) ** 30, rel=1e-12)
    even = world_of(holes(5))
    even.trail[even.is_in] = 2.0
    spread(even, 0.9)
    assert np.allclose(even.trail[even.is_in], 1.8, rtol=1e-14)


def test_a_deposit_spreads_evenly_over_its_nine_cells() -> None:
    world = world_of(np.pad(np.ones((7, 7), np.bool_), 1))
    world.trail[4, 4] = 9.0
    spread(world, 1.0)
    wanted = np.zeros((9, 9))
    wanted[3:6, 3:6] = 1.0
    assert np.allclose(world.trail, wanted, atol=1e-14)


def test_agents_that_all_move_bring_in_what_decays() -> None:
    """With free ways the sum goes to deposit · n (1 - d) / d: each step adds n, then takes d."""
    world = world_of(np.pad(np.ones((150, 150), np.bool_), 1), share=0.001)
    ahead = Habits(0.0, 0.0, 1.0, 0.5)
    number = len(world.at)
    total = 0.0
    for _ in range(40):
        before = world.at.copy()
        live(world, ahead, 1)
        moved = int((before != world.at).any(axis=1).sum())
        total = 0.5 * (total + DEPOSIT * moved)
        assert world.trail.sum() == pytest.approx(total, rel=1e-9)
    assert 0.8 * number < total <= number


def test_the_trail_stays_in_the_area_and_in_all_its_parts() -> None:
    two = shapely.union_all([RING, Point(30, 0).buffer(7)])
    field = growth.trails(two, cell=0.25, seed=3)
    x, y = np.meshgrid(np.linspace(-13, 38, 205), np.linspace(-13, 13, 105))
    values = np.asarray(field(x, y))
    outside = ~shapely.intersects_xy(two.buffer(1.0), x, y)
    assert np.abs(values[outside]).max() < 0.05
    within = shapely.contains_xy(two, x, y)
    assert np.quantile(values[within], 0.99) == pytest.approx(1.0, abs=0.1)
    for part in two.geoms:
        assert fields.isolines(field, part, levels=[0.4]).length > 30


def test_agents_gather_where_food_is() -> None:
    def near(food: float) -> int:
        count = 0
        for seed in range(4):
            world = world_of(np.pad(np.ones((80, 80), np.bool_), 1), share=0.05, seed=seed)
            world.food[18:23, 18:23] = food
            live(world, Habits(JONES.turn, JONES.turn, 9.0, 0.9), 150)
            count += int((np.hypot(*(world.at - 20.5).T) < 8).sum())
        return count

    assert near(4.0) > 3 * near(0.0) > 0
    dish = box(0, 0, 30, 30)
    meal = (3 - fields.distance_to_point((7, 7))).maximum(0)
    fed, bare = (growth.trails(dish, food=food, steps=30, seed=1) for food in (meal, None))
    assert fed(7, 7) > 3 * bare(7, 7)


def test_a_net_has_meshes_that_grow_wider_with_the_offset() -> None:
    def meshes(offset: float) -> int:
        net = growth.trails(box(0, 0, 50, 50), sensor_offset=offset, seed=2)
        lines = fields.isolines(net, box(0, 0, 50, 50), levels=[0.4])
        return int(lines.is_closed.sum())

    assert meshes(1.2) > 1.5 * meshes(2.4) > 10


def test_same_seed_same_numbers() -> None:
    x, y = np.meshgrid(np.linspace(-12, 12, 25), np.linspace(-12, 12, 25))
    one, same, other = (
        np.asarray(growth.trails(RING, steps=40, seed=seed)(x, y)) for seed in (4, 4, 5)
    )
    assert one.tobytes() == same.tobytes()
    assert one.tobytes() != other.tobytes()


def test_progress_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "_AT_ONCE", 200_000)
    told: list[float] = []
    growth.trails(RING, steps=100, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 2


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"cell": 0}, "cell"),
        ({"density": 0}, "density"),
        ({"sensor_angle": 181}, "sensor_angle"),
        ({"rotation_angle": -1}, "rotation_angle"),
        ({"sensor_offset": 0.1}, "sensor_offset"),
        ({"decay": 0}, "decay"),
        ({"steps": 0}, "steps"),
        ({"food": 2.0}, "food must be a ScalarField"),
        ({"food": fields.ramp()}, "keep it at 0 or more"),
        ({"steps": 10**9}, "or fewer"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        growth.trails(RING, **options)
    with pytest.raises(InvalidValue, match="region is empty"):
        growth.trails(shapely.Polygon())


def test_the_advice_can_be_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "_MOST", 40_000)
    monkeypatch.setattr(making, "_MOST_WORK", 4e6)
    for area in (box(0, 0, 5_000, 3), box(0, 0, 900, 1_100), RING):
        with pytest.raises(InvalidValue, match="mm or more") as said:
            growth.trails(area, cell=1e-4)
        enough = float(str(said.value).split("take ")[1].split(" mm")[0])
        with pytest.raises(InvalidValue, match="or fewer") as said:
            growth.trails(area, cell=enough, steps=10**6)
        fewer = str(said.value).split("take ")[1].split(" or")[0].replace(",", "")
        growth.trails(area, cell=enough, steps=int(fewer))
