"""Strands pass over and under in turn, and their bands are drawn as a knot is tied."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from plotlib import Drawing, Pen, progress, shapes, tilings
from plotlib.errors import InvalidValue
from plotlib.tilings.cutting_kernel import hidden

FLOOR = box(0, 0, 60, 45)


def net(columns: int, rows: int, mesh: float = 10.0) -> Drawing:
    """Long lines that make ``columns`` by ``rows`` knots."""
    width = mesh * (columns - 1)
    height = mesh * (rows - 1)
    up = [[(mesh * i, 0), (mesh * i, height)] for i in range(columns)]
    across = [[(0, mesh * j), (width, mesh * j)] for j in range(rows)]
    return Drawing(up + across)


def alternates(weave: tilings.Weave) -> None:
    for strand in range(len(weave)):
        points, over = weave.passes(strand)
        assert (over[1:] != over[:-1]).all()
        if weave.closed[strand] and len(over):
            assert over[0] != over[-1]
        assert len(points) == len(over)


def seen_at(weave: tilings.Weave) -> np.ndarray:
    """How often each crossing lies on a centre line that is drawn: read from the picture alone."""
    lines = shapely.STRtree(weave.centre_lines().to_shapely())
    found = lines.query(shapely.points(weave.crossings), predicate="dwithin", distance=1e-6)
    return np.bincount(found[0], minlength=len(weave.crossings))


@pytest.mark.parametrize(
    ("tiling", "contact"),
    [
        (lambda: tilings.archimedean(FLOOR, "4.8.8", side=8), 60),
        (lambda: tilings.archimedean(FLOOR, "4.6.12", side=6), 65),
        (lambda: tilings.archimedean(FLOOR, "3.4.6.4", side=8), 50),
        (lambda: tilings.rhombs(FLOOR, side=9), 55),
        (lambda: tilings.kites_and_darts(FLOOR, side=12), 60),
    ],
)
def test_star_patterns_alternate(tiling, contact):
    weave = tilings.interlaced(tilings.stars(tiling(), contact), width=0.1, gap=0.02)
    alternates(weave)
    assert len(weave.crossings) > 20
    assert (seen_at(weave) == 1).all()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(3, 14), st.integers(0, 10_000))
def test_closed_curves_alternate_whatever_they_cross(count, seed):
    """Any closed curves can pass over and under in turn (P. G. Tait, 1877)."""
    random = np.random.default_rng(seed)
    rings = random.uniform(0, 100, (3, count, 2))
    drawing = Drawing([np.concatenate([ring, ring[:1]]) for ring in rings])
    try:
        weave = tilings.interlaced(drawing, width=1e-4)
    except InvalidValue as error:
        # strokes that are nearly parallel or very sharp leave no room for bands
        assume("over and under in turn" in str(error))
        raise
    alternates(weave)
    assert (seen_at(weave) == 1).all()


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(4, 25), st.integers(0, 10_000))
def test_knots_of_any_graph_alternate(count, seed):
    """On edges of Delaunay triangles: two passes an edge, whatever curves cross besides."""
    random = np.random.default_rng(seed)
    points = shapely.multipoints(random.uniform(0, 100, (count, 2)))
    edges = shapely.get_parts(shapely.delaunay_triangles(points, only_edges=True))
    drawn = tilings.knot(Drawing(list(edges)))
    assert drawn.is_closed.all()
    try:
        weave = tilings.interlaced(drawn, width=1e-4)
    except InvalidValue as error:
        assume("run too close to each other" not in str(error))  # round slivers
        raise
    alternates(weave)
    middles = shapely.points([edge.interpolate(0.5, normalized=True).coords[0] for edge in edges])
    tree = shapely.STRtree(shapely.points(weave.crossings))
    near = tree.query(middles, predicate="dwithin", distance=1e-5)
    assert len(set(near[0].tolist())) == len(edges)


@pytest.mark.parametrize("columns", range(2, 8))
@pytest.mark.parametrize("rows", range(2, 8))
def test_components_of_plain_panels(columns, rows):
    """gcd(m, n) closed curves with 2 m n - m - n crossings (checked by hand to 8 by 8)."""
    drawn = tilings.knot(net(columns, rows), tolerance=0.3)
    assert len(drawn) == math.gcd(columns, rows)
    weave = tilings.interlaced(drawn, width=1)
    assert len(weave) == math.gcd(columns, rows)
    assert len(weave.crossings) == 2 * columns * rows - columns - rows
    alternates(weave)


def test_breaklines_part_what_they_lie_along_or_across():
    """Each breakline takes its crossing away; one round a corner parts its strand from the rest."""
    plain = tilings.interlaced(tilings.knot(net(5, 4)), width=2)
    along = Drawing([[(12, 10), (18, 10)]])
    across = Drawing([[(15, 8), (15, 12)]])
    for breaks in (along, across):
        drawn = tilings.knot(net(5, 4), breaks=breaks)
        weave = tilings.interlaced(drawn, width=2)
        assert len(weave.crossings) == len(plain.crossings) - 1
        apart = min(line.distance(Point(15, 10)) for line in drawn.to_shapely())
        assert apart > 2
        cut = shapely.intersects(breaks.to_shapely()[0], drawn.to_shapely())
        assert not cut.any()
    round_one = shapes.rectangle((5, 5), 10, 10)
    alone = tilings.knot(net(5, 4), breaks=round_one)
    ring = min(alone.to_shapely(), key=lambda line: line.length)
    assert ring.is_ring
    assert np.allclose(np.hypot(*(np.array(ring.coords) - 10).T), 2.75, atol=0.05)


def test_edges_stand_at_half_the_width_and_end_at_the_gap():
    """A plus sign, worked out by hand: the lower band stops 1.3 mm from the middle of the upper."""
    weave = tilings.interlaced(Drawing([[(-5, 0), (5, 0)], [(0, -5), (0, 5)]]), width=2, gap=0.3)
    assert len(weave) == 2
    (over,) = (k for k in (0, 1) if weave.passes(k)[1][0])
    above = weave.edges(over)
    assert above.lengths.tolist() == pytest.approx([10, 10])
    below = weave.edges(1 - over)
    assert below.lengths.tolist() == pytest.approx([3.7] * 4)
    assert np.sort(np.abs(below.points).min(axis=0)).tolist() == pytest.approx([1, 1.3])
    assert weave.centre_lines(1 - over).lengths.tolist() == pytest.approx([3.7, 3.7])
    areas = weave.areas()
    assert sum(area.area for area in areas) == pytest.approx(20 + 2 * 7.4)
    assert shapely.union_all(areas).area == pytest.approx(20 + 2 * 7.4)


def test_corners_are_mitred_and_rings_are_closed():
    weave = tilings.interlaced(shapes.rectangle((0, 0), 10, 10), width=2)
    assert weave.edges().lengths.tolist() == pytest.approx([32, 48])
    assert weave.edges().is_closed.all()
    assert weave.areas()[0].area == pytest.approx(144 - 64)
    assert len(weave.crossings) == 0


def test_nothing_is_drawn_over_a_band_that_is_above():
    """The edges of each band keep out of the bands seen, by at least the gap."""
    floor = tilings.archimedean(FLOOR, "4.8.8", side=8)
    weave = tilings.interlaced(tilings.stars(floor, 60), width=1.5, gap=0.25)
    areas = shapely.union_all(weave.areas())
    inside = shapely.intersection(
        areas.buffer(-1e-6), shapely.union_all(weave.edges().to_shapely())
    )
    assert inside.length < 1e-3
    for strand in range(len(weave)):
        mine = weave.edges(strand, pen=Pen("red"))
        assert len(mine) == 2 * len(weave.areas(strand))
    assert sum(len(weave.edges(k)) for k in range(len(weave))) == len(weave.edges())


def test_hidden_places_are_those_of_shapely():
    random = np.random.default_rng(8)
    rows = np.array([[0, 5]])
    for _ in range(30):
        under = np.column_stack([np.linspace(0, 10, 6), random.uniform(-1, 1, 6)])
        wall = np.column_stack([3 + random.uniform(-0.5, 0.5, 6), np.linspace(-3, 3, 6)])
        walls = np.stack([wall, wall + np.array([3, 0])])
        ((spots,),) = hidden(under[None], walls, rows, rows)
        line = LineString(under)
        met = shapely.get_coordinates(line.intersection(shapely.multilinestrings(walls)))
        order = np.argsort([line.project(Point(point)) for point in met])
        for spot, point in zip(spots, met[order][[0, -1]], strict=True):
            row = int(spot)
            there = under[row] + (spot - row) * (under[row + 1] - under[row])
            assert there == pytest.approx(point)


def test_what_cannot_be_woven_is_refused():
    cross = [[(-5, 0), (5, 0)], [(0, -5), (0, 5)]]
    with pytest.raises(InvalidValue, match="6 strokes meet at"):
        tilings.interlaced(Drawing([*cross, [(-5, -5), (5, 5)]]), width=1)
    with pytest.raises(InvalidValue, match="3 strokes meet at"):
        tilings.interlaced(Drawing([[(-5, 0), (5, 0)], [(0, 0), (0, 5)]]), width=1)
    ring = shapes.circle((0, 0), 10)
    with pytest.raises(InvalidValue, match="cannot pass over and under in turn"):
        tilings.interlaced(ring + Drawing([[(0, 0), (20, 0)]]), width=1)
    with pytest.raises(InvalidValue, match="turns back on itself"):
        tilings.interlaced(Drawing([[(0, 0), (10, 0), (0, 1e-5)]]), width=1)


def test_bands_too_wide_are_refused_with_the_width_that_fits():
    grid = Drawing([[(x, -5), (x, 15)] for x in (0, 10)] + [[(-5, y), (15, y)] for y in (0, 10)])
    with pytest.raises(InvalidValue, match=r"9\.5 mm fits") as caught:
        tilings.interlaced(grid, width=12, gap=0.2)
    fits = caught.value.facts["fits"]
    assert fits <= 10 - 2 * 0.2
    tilings.interlaced(grid, width=fits, gap=0.2)
    tight = Drawing([[(0, 0), (10, 0), (10, 1), (0, 1)]])
    with pytest.raises(InvalidValue, match="bend more tightly"):
        tilings.interlaced(tight, width=2)
    lines = Drawing([[(0, 0), (10, 0)], [(0, 1), (10, 1)]])
    with pytest.raises(InvalidValue, match="too close to each other"):
        tilings.interlaced(lines, width=2)


def test_a_weave_is_a_value():
    weave = tilings.interlaced(tilings.knot(net(3, 3)), width=2)
    assert repr(weave) == "<Weave: 3 strands with 12 crossings>"
    ring = tilings.interlaced(tilings.knot(net(3, 3))[:1], width=2)
    assert repr(ring).startswith("<Weave: 1 strand with ")
    with pytest.raises(AttributeError, match="does not change"):
        weave.closed = None
    with pytest.raises(ValueError, match="read-only"):
        weave.crossings[0] = 0
    with pytest.raises(InvalidValue, match="no strand 3"):
        weave.edges([0, 3])
    with pytest.raises(InvalidValue, match="strands"):
        weave.edges("all")
    again = tilings.interlaced(tilings.knot(net(3, 3)), width=2)
    assert again.edges() == weave.edges()


def test_nothing_comes_of_nothing():
    for drawing in (Drawing(), Drawing([[(3, 3)]])):
        weave = tilings.interlaced(drawing, width=1)
        assert len(weave) == len(weave.edges()) == len(weave.areas()) == 0
        assert len(tilings.knot(drawing)) == 0


def test_long_work_is_told():
    told = []
    progress.listen(lambda what, share: told.append(what))
    try:
        tilings.interlaced(tilings.knot(net(3, 3)), width=2)
    finally:
        progress.listen_on_stderr()
    assert {"interlacing", "tying knots"} <= set(told)
