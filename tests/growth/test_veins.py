"""Veins and branches: rounds against plain numpy, trees, widths, and the area they stay in."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import Drawing, Pen, growth
from plotlib.errors import InvalidValue, UnknownName
from plotlib.growth import colonisation_kernel as kernel
from plotlib.growth.colonisation import STEP, Bed
from plotlib.growth.limbs import DRAWN
from plotlib.growth.trees import branch_paths, fewest_paths, pipe_widths
from tests.outside import MEMORY, Within, published

LEAF = Point(0, 0).buffer(16).difference(Point(5, 3).buffer(4)).difference(box(-9, -3, -8.5, 20))
FINE = Pen("fine", width=0.3)


def bed_of(sources: np.ndarray, *, closed: bool, spacing: float = 3.0) -> tuple[Bed, tuple]:
    bed = Bed(box(0, 0, 40, 40), spacing, [(20.0, 3.0)], closed)
    return bed, bed._set_up(sources, spacing)


def test_open_rounds_are_those_of_plain_numpy() -> None:
    """As far as no node gets the same child twice, which the kernel knows and this does not."""
    sources = np.random.default_rng(1).uniform(4, 36, (60, 2))
    _, (plant, state, rules, ground) = bed_of(sources, closed=False)
    at = [np.array([20.0, 3.0])]
    gone = np.zeros(len(sources), bool)
    for _ in range(60):
        far = np.hypot(*(sources[:, None] - np.array(at)).T).T
        gone |= far.min(axis=1) <= rules.kill
        nearest = far.argmin(axis=1)
        pulls = ~gone & (far.min(axis=1) <= rules.reach)
        new = []
        for k in np.unique(nearest[pulls]):
            mine = pulls & (nearest == k)
            way = ((sources[mine] - at[k]) / far[mine, k][:, None]).sum(axis=0)
            new.append(at[k] + rules.step * way / np.hypot(*way))
        if any(np.hypot(*(one - node)) < 1e-3 for one in new for node in at):
            break
        at += new
        kernel.grow_round(plant, state, rules, ground)
        count = int(plant.counts[0])
        assert count == len(at)
        assert np.allclose(plant.at[:count], at, atol=1e-9)
        assert state.is_gone.tolist() == (gone | (_nearest(sources, at) <= rules.kill)).tolist()
    assert len(at) > 40


def _nearest(sources: np.ndarray, at: list[np.ndarray]) -> np.ndarray:
    return np.hypot(*(sources[:, None] - np.array(at)).T).T.min(axis=1)


def test_closed_growth_is_towards_relative_neighbours() -> None:
    random = np.random.default_rng(2)
    sources = random.uniform(12, 28, (9, 2))
    _, (plant, state, rules, ground) = bed_of(sources, closed=True)
    for x, y in random.uniform(8, 32, (80, 2)):
        kernel.add_node(plant, state, rules, x, y, 0)
    count = int(plant.counts[0])
    at = plant.at[:count].copy()
    kernel.grow_closed_round(plant, state, rules, ground, np.zeros(200, int), np.zeros(200))
    pulls = np.zeros((count, 2))
    between = np.hypot(*(at[:, None] - at).T)
    for source in sources:
        far = np.hypot(*(at - source).T)
        inside = far <= rules.reach
        hidden = [((far < far[v]) & inside & (between[v] < far[v])).any() for v in range(count)]
        pulled = inside & ~np.array(hidden) & (far > rules.kill)
        pulls[pulled] += (source - at[pulled]) / far[pulled, None]
    grown = np.flatnonzero(np.hypot(*pulls.T) > 0)
    assert plant.parent[count : int(plant.counts[0])].tolist() == grown.tolist()
    ways = pulls[grown] / np.hypot(*pulls[grown].T)[:, None]
    new = at[grown] + rules.step * ways
    assert np.allclose(plant.at[count : int(plant.counts[0])], new, atol=1e-9)


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 2**32), st.floats(1.6, 6), st.booleans(), st.sampled_from(DRAWN))
def test_veins_stay_in_the_leaf_and_hang_together(
    seed: int, spacing: float, closed: bool, drawn: str
) -> None:
    net = growth.veins(
        LEAF, spacing=spacing, closed=closed, drawn=drawn, seed=seed, pen=FINE, width=0.4
    )
    assert shapely.covers(LEAF.buffer(1e-9), net.to_shapely()).all()
    if drawn == "centre lines" and len(net):
        ink = shapely.union_all(shapely.buffer(net.to_shapely(), 0.01))
        assert ink.geom_type == "Polygon"


def test_edges_are_one_step_long_and_the_leaf_is_filled() -> None:
    net = growth.veins(LEAF, spacing=2, seed=4)
    steps = np.concatenate([np.hypot(*np.diff(stroke, axis=0).T) for stroke in net])
    assert np.allclose(steps, STEP * 2, atol=1e-9)
    ring = Point(0, 0).buffer(16).difference(Point(5, 3).buffer(4))
    lines = shapely.union_all(growth.veins(ring, spacing=2, seed=4).to_shapely())
    assert ring.buffer(-1).difference(lines.buffer(2.6)).area < 0.02 * ring.area
    closed = growth.veins(Point(0, 0).buffer(20), spacing=2, seed=4, closed=True)
    meshes = shapely.polygonize([shapely.union_all(closed.to_shapely())])
    assert len(meshes.geoms) > 20
    assert not shapely.polygonize([shapely.union_all(net.to_shapely())]).geoms


def test_as_few_strokes_as_there_can_be() -> None:
    net = growth.veins(LEAF, spacing=2, seed=3)
    ends = np.round(
        np.concatenate([np.stack([s[:-1], s[1:]], axis=1).reshape(-1, 2) for s in net]), 6
    )
    _, degree = np.unique(ends, axis=0, return_counts=True)
    assert len(net) == (degree % 2).sum() // 2


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, 10**6), max_size=40), st.integers(1, 3))
def test_paths_hold_every_edge_once(draws: list[int], roots: int) -> None:
    parent = np.array([-1] * roots + [d % (roots + k) for k, d in enumerate(draws)])
    weight = pipe_widths(parent, 2)
    edges = sorted((int(p), k) for k, p in enumerate(parent) if p >= 0)
    for paths in (branch_paths(parent, weight), fewest_paths(parent, weight)):
        walked = [tuple(sorted(pair)) for p in paths for pair in itertools.pairwise(p)]
        assert sorted(walked) == edges
    degree = np.bincount([k for edge in edges for k in edge], minlength=len(parent))
    assert len(fewest_paths(parent, weight)) == (degree % 2).sum() // 2


@published(
    module="growth",
    source="C. D. Murray, PNAS 1926: the third power",
    kind=MEMORY,
    printed=0.794,
    abs=1e-3,
    claim="each of two equal branches, of the trunk",
)
def test_widths_keep_their_power_at_forks(within: Within, printed: float) -> None:
    """Leonardo's rule keeps cross-sections (2); Murray's law the third power: of two equal
    branches each is 2 ** (-1 / 3) = 0.794 of the trunk (Murray, PNAS 1926, 0.79 from memory).
    """
    parent = np.array([-1, 0, 1, 1, 2, 2, 3, 5])
    for exponent in (2.0, 3.0):
        width = pipe_widths(parent, exponent)
        for k in range(len(parent)):
            children = np.flatnonzero(parent == k)
            power = (width[children] ** exponent).sum() if len(children) else 1.0
            assert width[k] ** exponent == pytest.approx(power)
    trunk, left, right = pipe_widths(np.array([-1, 0, 0]), 3)
    assert [left / trunk, right / trunk] == within.of([printed] * 2)


def test_passes_and_outlines_are_as_wide_as_the_trunk() -> None:
    area = box(0, 0, 60, 80)
    given = {"spacing": 4, "crown": Point(30, 50).buffer(24), "roots": [(30, 3)], "pen": FINE}
    tree = growth.branches(area, **given)
    row = box(0, 8, 60, 9)
    assert len(tree.clipped(row)) == 1
    outlines = growth.branches(area, drawn="outlines", **given)
    assert outlines.is_closed.all()
    sides = outlines.clipped(row)
    wide = sides.bounds[2] - sides.bounds[0]
    passes = growth.branches(area, drawn="passes", **given).clipped(row)
    assert (len(passes) - 1) * FINE.width * 0.8 + FINE.width == pytest.approx(wide, abs=0.8)
    thicker = growth.branches(area, drawn="outlines", exponent=1.6, **given).clipped(row)
    assert thicker.bounds[2] - thicker.bounds[0] > wide


def test_same_seed_same_bytes_and_nothing() -> None:
    one, same, other = (growth.veins(LEAF, spacing=3, seed=k).points for k in (4, 4, 5))
    assert one.tobytes() == same.tobytes()
    assert one.tobytes() != other.tobytes()
    for empty in (shapely.Polygon(), box(0, 0, 9, 0.2)):
        assert len(growth.veins(empty, spacing=3)) == 0
        assert len(growth.branches(empty, spacing=3)) == 0
    assert len(growth.veins(LEAF, spacing=3, roots=[])) == 0
    assert len(growth.branches(LEAF, spacing=3, crown=Drawing())) == 0


TWO = shapely.union_all([Point(0, 0).buffer(9), Point(30, 5).buffer(7)])


@pytest.mark.parametrize("closed", [False, True])
def test_each_part_of_an_area_has_its_own_veins(closed: bool) -> None:
    """Only the part of the lowest place was grown into, and nothing said so."""
    both = growth.veins(TWO, spacing=2, closed=closed, seed=1)
    for part in TWO.geoms:
        assert both.clipped(part).length > 0.25 * part.area / 2
    given = growth.veins(TWO, spacing=2, closed=closed, roots=[(0, 0), (30, 5), (33, 5)])
    assert all(given.clipped(part).length > 0.25 * part.area / 2 for part in TWO.geoms)
    told: list[float] = []
    growth.veins(TWO, spacing=2, closed=closed, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_each_part_has_its_own_trunk() -> None:
    beside = shapely.union_all([box(0, 0, 30, 60), box(40, 0, 70, 60)])
    crown = shapely.union_all([Point(15, 45).buffer(12), Point(55, 45).buffer(12)])
    trees = growth.branches(beside, spacing=3, crown=crown, drawn="outlines")
    assert trees.is_closed.all()
    for part in beside.geoms:
        mine = trees.clipped(part)
        assert mine.bounds is not None
        assert mine.bounds[1] < 2
        assert mine.bounds[3] > 50


def test_a_part_without_a_root_is_named() -> None:
    for make in (growth.veins, growth.branches):
        with pytest.raises(InvalidValue, match="no root is in the part") as said:
            make(TWO, spacing=2, roots=[(0, 0)])
        assert TWO.geoms[1].contains(Point(said.value.place))
        make(TWO, spacing=2, roots=[(0, 0), said.value.place])
        speck = shapely.union_all([TWO.geoms[0], box(20, 20, 20.2, 20.2)])
        assert make(speck, spacing=2, roots=[(0, 0)]).length > 50  # no room, no root


def test_outlines_that_would_run_together_are_refused() -> None:
    for make in (growth.veins, growth.branches):
        with pytest.raises(InvalidValue, match="run together") as said:
            make(LEAF, spacing=3, drawn="outlines", width=2.9)
        fits = float(str(said.value).split("width of ")[1].split(" mm")[0])
        drawn = make(LEAF, spacing=3, drawn="outlines", width=fits)
        covered = shapely.polygonize([shapely.union_all(drawn.to_shapely())])
        assert len(drawn) >= 1
        assert covered.area > 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"spacing": 0}, "spacing"),
        ({"spacing": 0.01}, "wider one"),
        ({"roots": [(90, 0)]}, "outside the area"),
        ({"closed": "no"}, "closed"),
        ({"width": 0}, "width"),
        ({"exponent": 0.5}, "exponent"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        growth.veins(LEAF, **{"spacing": 3, **options})
    with pytest.raises(UnknownName, match="passes"):
        growth.veins(LEAF, spacing=3, drawn="thick")
