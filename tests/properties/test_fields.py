"""Laws of the fields: nothing leaves the area, all is finite, the same seed gives the same bytes,
any values give lines or an error.
"""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import fields

NUMBERS = st.floats(-40, 40, allow_nan=False).map(lambda v: round(v, 2))
SEEDS = st.integers(0, 2**32)


@st.composite
def areas(draw):
    """Discs, triangles, boxes, rings, unions; slivers and empty ones too."""
    kind = draw(st.sampled_from(["disc", "triangle", "ring", "box", "pair", "empty"]))
    x = draw(NUMBERS)
    y = draw(NUMBERS)
    r = draw(st.floats(0.1, 25))
    disc = shapely.Point(x, y).buffer(r)
    if kind == "triangle":
        return shapely.Polygon(
            [(x, y), (draw(NUMBERS), draw(NUMBERS)), (draw(NUMBERS), draw(NUMBERS))]
        ).buffer(0)
    if kind == "box":
        return shapely.box(x, y, x + r, y + draw(st.floats(0.05, 30)))
    return {
        "disc": disc,
        "ring": disc.difference(disc.buffer(-0.4 * r)),
        "pair": disc.union(shapely.box(x + 2 * r, y, x + 3 * r, y + 1)),
        "empty": shapely.Polygon(),
    }[kind]


def flow_of(kind, seed, scale):
    noise = fields.perlin(scale=scale, seed=seed, octaves=1 + seed % 3)
    return {
        "curl": noise.curl(),
        "gradient": noise.gradient(),
        "uniform": fields.uniform(seed % 360),
        "sink": fields.source((0, 0), speed=-1) + fields.vortex((0, 0)) * 0.3,
        "angle": fields.heading(noise * 720),
    }[kind]


def assert_inside(drawing, area):
    assert np.isfinite(drawing.points).all()
    if len(drawing):
        assert shapely.covers(area.buffer(1e-7), shapely.union_all(drawing.to_shapely()))


@settings(max_examples=25, deadline=None)
@given(
    areas(),
    st.sampled_from(["curl", "gradient", "uniform", "sink", "angle"]),
    SEEDS,
    st.floats(0.25, 60),
    st.floats(3, 80),
    st.floats(0.05, 1),
)
def test_evenly_spaced_lines(area, kind, seed, spacing, scale, test):
    field = flow_of(kind, seed % 1000, scale)
    first, again = (
        fields.streamlines(field, area, spacing=spacing, test=test, seed=seed) for _ in range(2)
    )
    assert first == again
    assert_inside(first, area)
    assert (first.lengths >= 2.3 * spacing).all()
    if 2 <= len(first) <= 60:
        lines = first.to_shapely()
        assert (
            min(shapely.distance(a, b) for k, a in enumerate(lines) for b in lines[:k])
            >= test * spacing
        )


@settings(max_examples=25, deadline=None)
@given(areas(), SEEDS, st.floats(2, 60), st.floats(0.05, 1), st.floats(0.3, 3))
def test_contours(area, seed, scale, spacing, step):
    field = fields.perlin(scale=scale, seed=seed)
    drawing = fields.isolines(field, area, spacing=spacing, step=step)
    assert drawing == fields.isolines(field, area, spacing=spacing, step=step)
    assert_inside(drawing, area)


@settings(max_examples=25, deadline=None)
@given(
    areas(),
    SEEDS,
    st.sampled_from(["curl", "gradient", "sink", "angle"]),
    st.one_of(st.none(), st.floats(0.05, 4)),
)
def test_single_lines(area, seed, kind, step):
    starts = np.random.default_rng(seed).uniform(-40, 40, (5, 2))
    drawing = fields.streamline(flow_of(kind, seed % 1000, 20), starts, area, step=step, length=60)
    assert drawing == fields.streamline(
        flow_of(kind, seed % 1000, 20), starts, area, step=step, length=60
    )
    assert_inside(drawing, area)


@settings(max_examples=25, deadline=None)
@given(areas(), SEEDS, st.floats(0.5, 20), st.floats(-30, 30), st.booleans())
def test_ridge_lines(area, seed, spacing, height, hidden):
    assert_inside(
        fields.ridgelines(
            fields.perlin(scale=12, seed=seed), area, spacing=spacing, height=height, hidden=hidden
        ),
        area,
    )


@settings(max_examples=30, deadline=None)
@given(areas(), SEEDS, st.integers(1, 40), st.floats(0.5, 15))
def test_points_cells_and_circles(area, seed, count, spacing):
    spots = (
        np.random.default_rng(seed).integers(-40, 40, (count, 2)).astype(float)
    )  # many share a place or a line
    for drawing in (fields.voronoi(spots, area), fields.delaunay(spots, area)):
        assert_inside(drawing, area)
    cells = fields.voronoi_cells(spots, area)
    assert abs(sum(cell.area for cell in cells) - area.area) < 1e-6 * (1 + area.area)
    scattered = fields.poisson_disk(area, spacing=spacing, seed=seed)
    assert scattered.tobytes() == fields.poisson_disk(area, spacing=spacing, seed=seed).tobytes()
    assert_inside(
        fields.circles(
            fields.circle_packing(area, smallest=0.3, largest=spacing, candidates=500, seed=seed)
        ),
        area,
    )
    if area.area > 0.02 * area.envelope.area:
        tracks = fields.particles(
            flow_of("curl", seed % 1000, 15) * 50, area, count=count, duration=5, lag=0.5, seed=seed
        )
        assert_inside(tracks, area)


@settings(max_examples=60, deadline=None)
@given(
    SEEDS,
    st.integers(1, 6),
    st.floats(0.1, 100),
    st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=20),
)
def test_noise_is_bounded_and_finite(seed, octaves, scale, places):
    x, y = np.array(places).T
    number, along_x, along_y = fields.perlin(scale=scale, seed=seed, octaves=octaves).jet(x, y)
    assert np.abs(number).max() <= 1.0364 * (2 - 0.5 ** (octaves - 1))
    assert np.isfinite(along_x).all()
    assert np.isfinite(along_y).all()
