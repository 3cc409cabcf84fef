"""Laws of fills: ink stays inside, the fill moves with its area where it says so, lengths follow
from the area, and nothing breaks.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity

from plotlib import fills
from plotlib.drawing import Drawing
from plotlib.pen import Pen
from plotlib.regions import as_region, inset, outset
from tests.oracles_fills import covered_by_samples, hatch_by_shapely, hostile

PEN = Pen("test", width=0.4)
MOTIF = Drawing([[(0.2, 0.1), (0.9, 1.2), (1.4, 0.3)], [(0.5, 1.1)]])
FILLS = {
    "hatch": lambda area, **k: fills.hatch(area, spacing=0.9, angle=20, **k),
    "hatch level": lambda area, **k: fills.hatch(area, spacing=1.0, **k),
    "joined": lambda area, **k: fills.hatch(area, spacing=0.9, angle=70, joined=True, **k),
    "joined level": lambda area, **k: fills.hatch(area, spacing=1.0, joined=True, **k),
    "cross": lambda area, **k: fills.cross_hatch(area, spacing=1.5, **k),
    "graded": lambda area, **k: fills.graded_hatch(
        area, lambda x, y: 0.5 + np.abs(x) % 7, finest=0.6, angle=33, **k
    ),
    "dashed": lambda area, **k: fills.dashed_hatch(
        area, spacing=0.9, dash=1.1, gap=0.4, angle=5, **k
    ),
    "dotted": lambda area, **k: fills.dotted_hatch(area, spacing=0.9, angle=5, **k),
    "contour": lambda area, **k: fills.contour(area, spacing=0.7, **k),
    "rings": lambda area, **k: fills.contour(area, spacing=0.7, joined=False, **k),
    "spiral": lambda area, **k: fills.spiral(area, spacing=0.9, **k),
    "concentric": lambda area, **k: fills.concentric(area, spacing=0.9, **k),
    "radial": lambda area, **k: fills.radial(area, count=40, closest=0.3, **k),
    "wave": lambda area, **k: fills.wave(area, spacing=1.1, amplitude=0.7, wavelength=4, **k),
    "zigzag": lambda area, **k: fills.zigzag(
        area, spacing=1.1, amplitude=0.7, wavelength=4, angle=40, **k
    ),
    "scribble": lambda area, **k: fills.scribble(area, spacing=1.3, **k),
    "hilbert": lambda area, **k: fills.space_filling(area, spacing=1.0, **k),
    "gosper": lambda area, **k: fills.space_filling(area, spacing=1.1, curve="gosper", **k),
    "dots": lambda area, **k: fills.dots(area, spacing=0.9, **k),
    "random dots": lambda area, **k: fills.dots(area, spacing=0.9, layout="random", **k),
    "circles": lambda area, **k: fills.dots(area, spacing=1.4, radius=0.5, **k),
    "truchet": lambda area, **k: fills.tiles(area, size=1.7, **k),
    "hexagons": lambda area, **k: fills.tiles(area, size=1.1, tiling="hexagons", angle=9, **k),
    "triangles": lambda area, **k: fills.tiles(area, size=1.9, tiling="triangles", **k),
    "pattern": lambda area, **k: fills.pattern(area, MOTIF, stagger=0.5, angle=30, **k),
}
QUICK = {
    name: fill
    for name, fill in FILLS.items()
    if name not in ("gosper", "rings", "cross", "hatch level", "concentric", "triangles")
}
POSED = {
    "hatch": lambda area, turn, at: fills.hatch(area, spacing=0.9, angle=20 + turn, origin=at),
    "joined": lambda area, turn, at: fills.hatch(
        area, spacing=0.9, angle=20 + turn, origin=at, joined=True
    ),
    "dashed": lambda area, turn, at: fills.dashed_hatch(
        area, spacing=0.9, dash=1.1, gap=0.4, angle=20 + turn, origin=at
    ),
    "wave": lambda area, turn, at: fills.wave(
        area, spacing=1.1, amplitude=0.7, wavelength=4, angle=turn, origin=at
    ),
    "hilbert": lambda area, turn, at: fills.space_filling(area, spacing=0.9, angle=turn, origin=at),
    "dots": lambda area, turn, at: fills.dots(area, spacing=0.9, angle=turn, origin=at),
    "truchet": lambda area, turn, at: fills.tiles(
        area, size=1.7, angle=turn, origin=at, tiling="hexagons"
    ),
    "pattern": lambda area, turn, at: fills.pattern(area, MOTIF, angle=turn, origin=at),
    "contour": lambda area, turn, at: fills.contour(area, spacing=0.7, joined=False),
    "spiral": lambda area, turn, at: fills.spiral(area, spacing=0.9, angle=turn),
    "concentric": lambda area, turn, at: fills.concentric(area, spacing=0.9),
    "radial": lambda area, turn, at: fills.radial(area, count=40, angle=turn),
}


@st.composite
def holed(draw):
    """A ragged polygon about 20 mm wide with up to three holes; parts may come off."""
    count = draw(st.integers(5, 24))
    far = draw(st.lists(st.floats(3, 12), min_size=count, max_size=count))
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    area = shapely.Polygon(
        np.array(far)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        + draw(st.integers(-20, 20))
    )
    for _ in range(draw(st.integers(0, 3))):
        hole = shapely.Point(draw(st.floats(-8, 8)), draw(st.floats(-8, 8))).buffer(
            draw(st.floats(0.3, 3)), quad_segs=4
        )
        area = area.difference(affinity.translate(hole, *shapely.get_coordinates(area.centroid)[0]))
    return area


def _lines(drawing):
    return shapely.MultiLineString(
        [line for line in drawing.to_shapely() if line.geom_type == "LineString"]
    )


def _beyond(drawing, area):
    """How far the strokes, not only their points, leave an area."""
    outside = shapely.difference(shapely.get_parts(_lines(drawing)), area)
    dots = drawing.points[drawing.offsets[:-1][np.diff(drawing.offsets) == 1]]
    points = np.concatenate([shapely.get_coordinates(outside), dots])
    return (
        float(shapely.distance(area, shapely.points(points)).max(initial=0.0))
        if len(points)
        else 0.0
    )


@settings(deadline=None, max_examples=12)
@pytest.mark.parametrize("name", FILLS)
@given(area=holed())
def test_strokes_stay_inside(name, area):
    assert _beyond(FILLS[name](area), area) <= 1e-6


@settings(deadline=None, max_examples=6)
@pytest.mark.parametrize("name", FILLS)
@given(area=holed())
def test_ink_stays_inside_with_a_pen(name, area):
    drawing = FILLS[name](area, pen=PEN)
    assert not len(drawing) or drawing.pens == (PEN,)
    if len(drawing):
        gap = shapely.distance(area.boundary, shapely.GeometryCollection(drawing.to_shapely()))
        assert gap >= PEN.width / 2 - 1e-6
        assert _beyond(drawing, area) == 0.0


@settings(deadline=None, max_examples=8)
@pytest.mark.parametrize("name", POSED)
@given(
    area=holed(), turn=st.floats(-180, 180), shift=st.tuples(st.floats(-50, 50), st.floats(-50, 50))
)
def test_fills_turn_and_move_with_their_area(name, area, turn, shift):
    turn = (
        0.0 if name == "concentric" else turn
    )  # chords of circles begin at the x axis: circles that touch the edge need not turn alike
    placed = affinity.translate(affinity.rotate(area, turn, origin=(0, 0)), *shift)
    here = POSED[name](area, 0.0, (0.0, 0.0))
    there = POSED[name](placed, turn, shift)
    expected = here.turned(turn).moved(*shift)
    near = (
        0.02 if name == "contour" else 1e-6
    )  # chords of round corners, too, begin at the x axis whatever the turn
    assert there.length == pytest.approx(expected.length, abs=10 * near, rel=near)
    if len(there):
        lines = shapely.GeometryCollection(expected.to_shapely())
        points = shapely.points(there.points)
        if (
            name == "concentric"
        ):  # where the edge cuts a chord at a flat angle, its end slides along the edge
            points = points[shapely.distance(points, placed.boundary) > 0.3]
        assert shapely.distance(points, lines).max(initial=0.0) < near


@settings(deadline=None)
@given(area=holed(), spacing=st.floats(0.3, 4), angle=st.floats(-400, 400))
def test_hatching_is_what_shapely_cuts_and_as_long_as_the_area_says(area, spacing, angle):
    drawing = fills.hatch(area, spacing=spacing, angle=angle)
    exact = hatch_by_shapely(area, spacing, angle)
    assert drawing.length == pytest.approx(
        sum(float(np.hypot(*(line[-1] - line[0]))) for line in exact), abs=1e-6
    )
    # |L - A/s| <= V/2; the chord length varies at every corner at most, by no more than the chords
    # there.
    turned = affinity.rotate(area, -angle, origin=(0, 0))
    assert abs(drawing.length - area.area / spacing) <= _variation(turned) / 2 + 1e-6


def _variation(area):
    """Total variation of the chord length across the rows: piecewise linear between corners, with
    jumps at level edges.
    """
    x0, _, x1, _ = area.bounds
    levels = np.unique(shapely.get_coordinates(area)[:, 1])
    near = np.unique(np.concatenate([levels - 1e-7, levels + 1e-7]))
    rows = [shapely.LineString([(x0 - 1, y), (x1 + 1, y)]) for y in near]
    lengths = np.concatenate([[0.0], shapely.length(shapely.intersection(area, rows)), [0.0]])
    return float(np.abs(np.diff(lengths)).sum()) * (1 + 1e-6) + 1e-4


@settings(deadline=None, max_examples=40)
@given(area=holed(), angle=st.floats(0, 360))
def test_joined_hatching_adds_only_edge_and_takes_no_more_lifts(area, angle):
    plain = fills.hatch(area, spacing=0.8, angle=angle)
    joined = fills.hatch(area, spacing=0.8, angle=angle, joined=True)
    assert len(joined) <= len(plain)
    assert plain.length - 1e-6 <= joined.length <= plain.length + area.length + 1e-6
    assert shapely.difference(_lines(plain), shapely.buffer(_lines(joined), 1e-6)).length < 1e-5


@settings(deadline=None, max_examples=25)
@given(area=holed())
def test_joined_rings_are_the_rings(area):
    rings = fills.contour(area, spacing=0.7, joined=False)
    joined = fills.contour(area, spacing=0.7)
    assert len(joined) <= len(rings)
    # A ramp of ten spacings leads from ring to ring, beside what it leaves of the ring.
    missing = shapely.difference(_lines(rings), shapely.buffer(_lines(joined), 1e-6))
    assert missing.length <= 0.7 * 10.1 * len(rings)
    far = shapely.difference(_lines(rings), shapely.buffer(_lines(joined), 0.7 * 1.001))
    assert far.length == 0


@settings(deadline=None, max_examples=10)
@given(area=holed(), angle=st.floats(0, 180))
def test_coverage_agrees_with_samples_and_with_itself(area, angle):
    drawing = fills.hatch(area, spacing=0.7, angle=angle, pen=PEN)
    if not len(drawing):
        return
    exact = fills.coverage(drawing, area, exact=True)
    lines = fills.coverage(drawing, area, exact=False)
    assert exact.covered == pytest.approx(covered_by_samples(drawing, area, across=250), abs=0.02)
    assert lines.covered == pytest.approx(exact.covered, abs=0.004)
    assert lines.double == pytest.approx(exact.double, abs=0.004)


@settings(deadline=None, max_examples=15)
@given(area=holed())
def test_solid_covers_what_the_pen_can_reach(area):
    fill = fills.measured_solid(area, pen=PEN)
    assert fill.cover.bare < 0.005 or fill.cover.area < 1.0
    assert _beyond(fill.drawing, area) == 0.0
    if len(fill.drawing):
        assert (
            shapely.distance(area.boundary, shapely.GeometryCollection(fill.drawing.to_shapely()))
            >= 0.2 - 1e-6
        )


@settings(deadline=None)
@given(area=holed(), distance=st.floats(0.01, 3))
def test_insets_and_outsets_keep_their_distance(area, distance):
    smaller = inset(area, distance)
    larger = outset(area, distance)
    assert smaller.is_empty or shapely.distance(smaller.boundary, area.boundary) >= distance - 1e-9
    assert larger.covers(area)
    assert (
        shapely.distance(shapely.points(shapely.get_coordinates(larger)), area).max()
        <= distance * 1.01 + 1e-9
    )


@pytest.mark.parametrize("lot", range(20))
def test_nothing_breaks_on_hostile_shapes(lot):
    """A thousand shapes in all, each with several fills in turn: strokes are finite and inside."""
    names = list(QUICK)
    for seed in range(50 * lot, 50 * lot + 50):
        thing = hostile(seed)
        area = as_region(thing)
        for k in range(4):
            name = names[(7 * seed + 5 * k) % len(names)]
            drawing = QUICK[name](thing, **({"pen": PEN} if k % 2 else {}))
            assert np.isfinite(drawing.points).all()
            limit = 1e-6 + (
                1e-9 if math.hypot(*np.abs(drawing.points).max(axis=0, initial=0.0)) > 1e4 else 0.0
            )
            assert _beyond(drawing, area) <= limit, (seed, name)


@pytest.mark.parametrize("seed", range(0, 240, 7))
def test_solid_bears_hostile_shapes(seed):
    for thin in ("omit", "centre"):
        fill = fills.measured_solid(hostile(seed), pen=PEN, thin=thin)
        assert np.isfinite(fill.drawing.points).all()
        assert 0.0 <= fill.unreached <= 1.0
        assert fill.cover.area == 0.0 or fill.cover.bare < 0.006, seed


@settings(deadline=None, max_examples=3)
@pytest.mark.parametrize("name", FILLS)
@given(area=holed())
def test_same_input_same_bytes(name, area):
    one = FILLS[name](area, pen=PEN)
    two = FILLS[name](area, pen=PEN)
    assert one.points.tobytes() == two.points.tobytes()
    assert one == two
