"""Curves that lengthen: they never cross, keep their distance and stay in their area."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import Drawing, fields, growth, shapes
from plotlib.errors import InvalidValue
from plotlib.growth import curves_kernel as kernel
from plotlib.growth.differential_growth import _Begin, _set_up
from plotlib.growth.reaches import reaches
from plotlib.growth.rounding import rounded_corners

BEAN = Point(0, 0).buffer(14).difference(Point(3, 2).buffer(4)).union(box(10, -2, 30, 2))
ARCH = Drawing([[(-9, -6), (-6, -4), (-3, -6), (0, -8)]])


def crossings(drawing: Drawing) -> int:
    """Pairs of segments that share a point and are not neighbours on their curve, by shapely's
    exact predicates.
    """
    lines = []
    following: set[tuple[int, int]] = set()
    for stroke in drawing:
        base = len(lines)
        lines += list(shapely.linestrings(np.stack([stroke[:-1], stroke[1:]], axis=1)))
        following |= {(k, k + 1) for k in range(base, len(lines) - 1)}
        if (stroke[0] == stroke[-1]).all():
            following.add((base, len(lines) - 1))
    one, other = shapely.STRtree(lines).query(lines, predicate="intersects")
    pairs = {(int(a), int(b)) for a, b in zip(one, other, strict=True) if a < b}
    return len(pairs - following)


@settings(max_examples=12, deadline=None)
@given(
    st.integers(0, 2**32),
    st.floats(0.9, 3),
    st.sampled_from(["circle", "arch", "two"]),
    st.booleans(),
)
def test_grown_curves_never_cross(seed: int, spacing: float, start: str, changing: bool) -> None:
    wanted = spacing * (1 + (fields.ramp() + 14) / 44) if changing else spacing
    first = {"circle": None, "arch": ARCH, "two": ARCH + shapes.circle((-4, 7), 2.5)}[start]
    grown = growth.differential_growth(
        BEAN, spacing=wanted, first=first, length=160, tolerance=0.01, seed=seed
    )
    assert crossings(grown) == 0
    assert shapely.multilinestrings(list(grown.to_shapely())).is_simple
    assert shapely.contains_properly(BEAN, grown.to_shapely()).all()
    if first is not None:
        assert grown.is_closed.tolist() == first.is_closed.tolist()
        assert grown.length > 1.2 * first.length


def set_up(seed: int = 3) -> tuple[kernel.Curves, kernel.Rules]:
    """A ring and an open curve within the bean."""
    ring = np.asarray(shapes.circle((-6, 6), 3, tolerance=0.1).resampled(0.7)[0])[:-1]
    open_one = np.asarray(ARCH.resampled(0.7)[0])
    begin = _Begin(
        np.concatenate([ring, open_one]),
        np.array([0, len(ring), len(ring) + len(open_one)]),
        np.array([True, False]),
    )
    return _set_up(BEAN, begin, reaches("spacing", 1.6, BEAN), 900, np.random.default_rng(seed))


def test_distances_and_forces_are_those_of_all_pairs() -> None:
    curves, rules = set_up()
    found = kernel.scratch(curves, rules)
    kernel.grow(curves, rules, found, 250)
    kernel.sort(curves, rules, found)
    kernel.look(curves, rules, found)
    edge, count = int(curves.counts[1]), int(curves.counts[0])
    at, after, before = curves.at[:count], curves.after[:count], curves.before[:count]
    assert count > edge + 60
    points = shapely.points(at)
    edges = shapely.linestrings(np.stack([at, at[np.maximum(after, 0)]], axis=1))
    apart = shapely.distance(points[:, None], edges[None, :])
    node = np.arange(count)
    apart[node[:, None] == node[None, :]] = np.inf
    apart[node[:, None] == after[None, :]] = np.inf
    apart[:, after < 0] = np.inf
    apart[:edge, :edge] = np.inf
    gaps = np.minimum(apart.min(axis=0), rules.cell - rules.longest)
    near = apart.min(axis=1)
    np.minimum.at(gaps, node, near)
    np.minimum.at(gaps, before[before >= 0], near[before >= 0])
    moving = (node >= edge) & (after >= 0)
    assert np.allclose(found.gaps[:count][moving], gaps[moving], atol=1e-12)
    reach = curves.reach[0, 0]
    for i in range(edge, count, 7):
        way = at[i] - at
        far = np.hypot(*way.T)
        acts = (far < reach) & ~np.isin(node, [i, before[i], after[i]])
        share = kernel.REPULSION * (reach - far[acts]) / far[acts]
        push = share[:, None] * way[acts]
        assert np.allclose(found.ways[i], push.sum(axis=0), atol=1e-12)


def test_every_step_keeps_the_gap_and_the_longest_edge() -> None:
    """Down to rounding: nothing else in the library looks at it between the steps."""
    curves, rules = set_up()
    found = kernel.scratch(curves, rules)
    lengths = []
    for _ in range(400):
        kernel.grow(curves, rules, found, 1)
        kernel.sort(curves, rules, found)
        kernel.look(curves, rules, found)
        mine = np.arange(int(curves.counts[1]), int(curves.counts[0]))
        mine = mine[curves.after[mine] >= 0]
        assert found.gaps[mine].min() >= rules.gap * (1 - 1e-9)
        edges = np.hypot(*(curves.at[curves.after[mine]] - curves.at[mine]).T)
        assert edges.max() <= rules.longest * (1 + 1e-9)
        lengths.append(kernel.length_of(curves))
    assert lengths[-1] > 4 * lengths[0]
    assert min(np.diff(lengths[::20])) > 0  # it falls in no twenty steps


def test_wild_forces_break_no_law() -> None:
    """Whatever draws a node, it goes no farther than it may."""
    curves, rules = set_up()
    found = kernel.scratch(curves, rules)
    random = np.random.default_rng(5)
    for _ in range(300):
        kernel.sort(curves, rules, found)
        kernel.look(curves, rules, found)
        found.ways[:] = random.normal(0, 5, found.ways.shape)
        kernel.move(curves, rules, found)
    count, edge = int(curves.counts[0]), int(curves.counts[1])
    nodes = [k for k in range(edge, count) if curves.after[k] >= 0]
    lines = Drawing([curves.at[[k, curves.after[k]]] for k in nodes]).to_shapely()
    one, other = shapely.STRtree(lines).query(lines, predicate="intersects")
    for a, b in zip(one, other, strict=True):
        mine = {nodes[a], int(curves.after[nodes[a]])}
        assert mine & {nodes[b], int(curves.after[nodes[b]])}


def test_a_full_area_has_the_spacing_in_the_mean() -> None:
    area = Point(0, 0).buffer(22)
    for spacing in (2.0, 3.0):
        grown = growth.differential_growth(area, spacing=spacing, seed=1)
        assert area.area / grown.length == pytest.approx(spacing, rel=0.12)
    dense = 1.2 + (fields.ramp() + 22) * (2.4 / 44)
    grown = growth.differential_growth(area, spacing=dense, seed=1)
    left = grown.clipped(area.intersection(box(-30, -30, -8, 30))).length
    right = grown.clipped(area.intersection(box(8, -30, 30, 30))).length
    assert 1.5 < left / right < 3.5  # the spacings there are as 1 to 2.2 in the mean


def test_far_places_of_a_curve_are_mostly_a_spacing_apart() -> None:
    grown = growth.differential_growth(Point(0, 0).buffer(18), spacing=2, seed=2).resampled(0.25)
    points = grown.points[:-1]
    tree = shapely.STRtree(shapely.points(points))
    one, other = tree.query(shapely.points(points), predicate="dwithin", distance=4)
    along = np.abs(one - other)
    along = np.minimum(along, len(points) - along)
    is_far = along > 4 * 2 / 0.25  # four spacings along the curve
    apart = np.hypot(*(points[one] - points[other]).T)[is_far]
    nearest = np.full(len(points), np.inf)
    np.minimum.at(nearest, one[is_far], apart)
    assert nearest.min() > 2 / 6
    assert np.quantile(nearest, 0.02) > 1.0
    assert 1.4 < np.median(nearest) < 2.6


def test_same_seed_same_bytes() -> None:
    one, same, other = (
        growth.differential_growth(BEAN, spacing=2, length=90, seed=k).points for k in (4, 4, 5)
    )
    assert one.tobytes() == same.tobytes()
    assert one.tobytes() != other.tobytes()


def test_parts_and_narrow_places() -> None:
    two = shapely.union_all([Point(0, 0).buffer(8), Point(30, 0).buffer(6), box(50, 0, 70, 0.4)])
    grown = growth.differential_growth(two, spacing=2)
    assert len(grown) == 2  # the strip has no room for a curve
    assert grown.is_closed.all()
    assert len(growth.differential_growth(shapely.Polygon(), spacing=2)) == 0
    assert len(growth.differential_growth(box(0, 0, 9, 0.3), spacing=2)) == 0
    assert len(growth.differential_growth(two, spacing=2, first=Drawing())) == 0


def test_ends_that_meet_but_for_rounding_are_a_closed_curve() -> None:
    """A cosine of 2 pi is not quite that of 0; such a curve was refused, as if it crossed."""
    turn = np.linspace(0, 2 * np.pi, 60)
    far = 5 + np.cos(5 * turn)
    ring = Drawing([np.column_stack([far * np.cos(turn), far * np.sin(turn)])]).moved(-5, -6)
    grown = growth.differential_growth(BEAN, spacing=2, first=ring, length=60)
    assert grown.is_closed.all()


def test_corners_are_rounded_where_there_is_room() -> None:
    """A tip that pokes into the triangle of another corner keeps that corner as it is."""
    corner = [(0, 0), (4, 0), (4, 4)]
    tip = [(1, 9), (3.4, 0.6), (2, 9)]
    points, offsets = rounded_corners(
        np.array(corner + tip, float), np.array([0, 3, 6]), box(-9, -9, 20, 20), 0.01
    )
    first, second = points[: offsets[1]], points[offsets[1] :]
    assert (first == (4.0, 0.0)).all(axis=1).any()
    assert not (second == (3.4, 0.6)).all(axis=1).any()
    assert crossings(Drawing([first, second])) == 0
    alone, _ = rounded_corners(np.array(corner, float), np.array([0, 3]), box(-9, -9, 20, 20), 0.01)
    away = shapely.distance(shapely.points(alone), shapely.LineString([(2, 0), (4, 2)]))
    assert away.max() > 0.5
    exact = np.linspace(0, 1, 400)[:, None]
    curve = (1 - exact) ** 2 * (2, 0) + 2 * exact * (1 - exact) * (4, 0) + exact**2 * (4, 2)
    line = shapely.LineString(alone)
    assert shapely.distance(shapely.points(curve), line).max() <= 0.01


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"spacing": 0}, "spacing"),
        ({"spacing": 0.01}, "wider one"),
        ({"spacing": fields.ramp()}, "above 0"),
        ({"spacing": (fields.ramp() + 15) * 0.2}, "times"),
        ({"length": -1}, "length"),
        ({"tolerance": 0}, "tolerance"),
        ({"first": Drawing([[(0, 0)]])}, "dot"),
        ({"first": Drawing([[(-50, 0), (50, 0)]])}, "leaves the area"),
        ({"first": Drawing([[(-9, -9), (-5, -5)], [(-9, -5), (-5, -9)]])}, "cross"),
        ({"first": Drawing([[(-9, -6), (-5, -6)], [(-9, -6.1), (-5, -6.1)]])}, "come within"),
        ({"first": [(0, 0), (1, 1)]}, "Drawing"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    given = {"spacing": 2.0, **options}
    with pytest.raises(InvalidValue, match=words):
        growth.differential_growth(BEAN, **given)


def test_progress_is_told() -> None:
    told: list[float] = []
    growth.differential_growth(BEAN, spacing=2, length=100, progress=told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)
