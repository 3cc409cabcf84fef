import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, box

from plotlib import fields

ROCKS = MultiPolygon(
    [
        Point(20, 20).buffer(6, quad_segs=64),
        Point(40, 25).buffer(5, quad_segs=64),
        box(28, 2, 36, 8),
    ]
)


def edge(area, off):
    ring = area.buffer(off).exterior
    spots = shapely.line_interpolate_point(ring, np.linspace(0, ring.length, 200, endpoint=False))
    return shapely.get_coordinates(spots), shapely.get_coordinates(
        shapely.shortest_line(spots, area)
    )[1::2]


def test_held_is_level_on_every_part_and_untouched_far_away():
    field = fields.ramp(90) + fields.perlin(scale=25, seed=1) * 4
    made = fields.held(field, ROCKS, within=9)
    for part in ROCKS.geoms:
        spots, _ = edge(part, 0)
        assert np.ptp(made(*spots.T)) < 1e-6
    assert made(5, 38) == field(5, 38)
    x, y, h = *np.random.default_rng(0).uniform((0, 0), (60, 40), (500, 2)).T, 1e-5
    out = np.abs(fields.distance(ROCKS)(x, y)) > 0.01
    assert (
        np.abs(made.slopes(x, y)[0] - (made(x + h, y) - made(x - h, y)) / (2 * h))[out].max() < 1e-4
    )


@pytest.mark.parametrize("kind", ["around", "held"])
def test_flow_slides_along_the_edges(kind):
    if kind == "around":
        flow = fields.around(fields.uniform(15), ROCKS, within=8)
    else:
        flow = fields.held(fields.ramp(105), ROCKS, within=8).curl()
    for part in ROCKS.geoms:
        spots, feet = edge(part, 1e-4)
        across = spots - feet
        across /= np.hypot(*across.T)[:, None]
        u, v = flow(*spots.T)
        assert np.abs(u * across[:, 0] + v * across[:, 1]).max() < 1e-3
    assert np.hypot(*flow(5, 38)) == pytest.approx(1)
