import re

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from plotlib import Pen, fields
from plotlib.errors import InvalidValue

NOISE = fields.perlin(scale=20, seed=2, octaves=2)
REGION = box(0, 0, 80, 60)


def test_points_lie_on_their_level():
    lines = fields.isolines(NOISE, REGION, levels=[0.13], tolerance=0)
    inner = lines.points[shapely.contains_xy(REGION.buffer(-1), *lines.points.T)]
    off = np.abs(NOISE(*inner.T) - 0.13) / np.hypot(*NOISE.slopes(*inner.T))
    assert off.max() < 1e-5
    assert np.median(off) < 1e-12


def test_tolerance_drops_points_and_keeps_the_line():
    full = fields.isolines(NOISE, REGION, spacing=0.1, tolerance=0)
    less = fields.isolines(NOISE, REGION, spacing=0.1, tolerance=0.05)
    assert len(less.points) < 0.4 * len(full.points)
    for some, other in ((full, less), (less, full)):
        inner = some.points[
            shapely.contains_xy(REGION.buffer(-1), *some.points.T)
        ]  # ends slide along the edge that cuts them
        assert (
            shapely.distance(shapely.points(inner), shapely.union_all(other.to_shapely())).max()
            < 0.0501
        )


def test_closed_lines_are_closed_and_uphill_is_left():
    rings = fields.isolines(-fields.distance_to_point((40, 30)), REGION, levels=[-20, -10])
    assert rings.is_closed.all()
    assert all(shapely.is_ccw(shapely.linearrings(ring)) for ring in rings)


def test_spacing_takes_the_multiples():
    lines = fields.isolines(fields.ramp(), box(0.5, 0, 4.5, 1), spacing=1)
    assert [stroke[0, 0] for stroke in lines] == pytest.approx([1, 2, 3, 4])
    assert fields.isolines(fields.ramp(), REGION, levels=[]) == fields.isolines(
        fields.ramp(), Polygon(), levels=[1]
    )


def test_cut_by_the_region():
    disc = Point(40, 30).buffer(25)
    lines = fields.isolines(NOISE, disc, spacing=0.05, pen=Pen("brown"))
    assert lines.pens == (Pen("brown"),)
    assert shapely.covers(disc.buffer(1e-9), shapely.union_all(lines.to_shapely()))


def test_bands_share_the_region():
    parts = fields.bands(NOISE, REGION, levels=[-0.2, 0, 0.2])
    assert len(parts) == 4
    assert sum(part.area for part in parts) == pytest.approx(REGION.area)
    assert all(a.intersection(b).area < 1e-9 for k, a in enumerate(parts) for b in parts[:k])
    spots = np.random.default_rng(0).uniform((0, 0), (80, 60), (2000, 2))
    which = np.digitize(NOISE(*spots.T), [-0.2, 0, 0.2])
    found = np.array([[shapely.contains_xy(part, *spot) for part in parts] for spot in spots])
    assert (found[np.arange(2000), which]).mean() > 0.99


def test_refusals():
    for options in ({}, {"levels": [1], "spacing": 1}):
        with pytest.raises(InvalidValue, match="either levels or spacing"):
            fields.isolines(NOISE, REGION, **options)
    with pytest.raises(InvalidValue, match=r"spacing = 1e-09 makes .* take"):
        fields.isolines(NOISE, REGION, spacing=1e-9)
    with pytest.raises(InvalidValue, match="levels must be finite"):
        fields.isolines(NOISE, REGION, levels=[1, np.nan])
    with (
        pytest.raises(InvalidValue, match=r"field is nan at \(0, 0\)"),
        np.errstate(invalid="ignore"),
    ):
        fields.isolines(
            fields.from_function(lambda x, y: np.where((x == 0) & (y == 0), np.nan, x)),
            box(-1, -1, 1, 1),
            levels=[0],
        )
    with pytest.raises(InvalidValue, match="more than 50,000,000; take"):
        fields.isolines(NOISE, REGION, levels=[0], step=1e-4)
    with pytest.raises(InvalidValue, match="lost beside the numbers of the field"):
        fields.isolines(fields.constant(1e300), REGION, spacing=5)
    with pytest.raises(InvalidValue, match="levels must"):
        fields.isolines(NOISE, REGION, levels=[1, [2, 3]])
    with pytest.raises(InvalidValue, match="scalar field or a number"):
        fields.isolines(NOISE.curl(), REGION, levels=[0])


@pytest.mark.parametrize("spacing", [1e-4, 1e-5, 3.3e-7])
def test_the_advised_spacing_is_accepted(spacing):
    """With 0.0001 the advice was to take 0.0001 or more."""
    field = fields.ramp(0) * 0.0213
    with pytest.raises(InvalidValue, match="take") as refused:
        fields.isolines(field, REGION, spacing=spacing, step=5)
    advised = float(re.search(r"take (\S+) or more", str(refused.value)).group(1))
    assert advised > spacing
    assert len(fields.isolines(field, REGION, spacing=advised, step=5)) > 4_000


def test_a_band_that_only_touches_the_region_is_empty():
    bands = fields.bands(fields.ramp(), box(0, 0, 10, 2), levels=0)
    assert [band.area for band in bands] == [0.0, pytest.approx(20.0)]
    diagonal = fields.bands(fields.ramp(45), box(0, 0, 10, 2), levels=[0])
    assert [band.area for band in diagonal] == [0.0, pytest.approx(20.0)]
