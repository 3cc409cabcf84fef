import sys

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from plotlib import fields
from plotlib.errors import InvalidValue

REGION = box(0, 0, 60, 40)


def test_many_starts_both_ways():
    starts = [(10, 10), (20, 30), (99, 99), (30, 5)]
    lines = fields.streamline(fields.uniform(0), starts, REGION)
    np.testing.assert_allclose(
        [stroke[[0, -1]] for stroke in lines], [[[0, y], [60, y]] for y in (10, 30, 5)], atol=1e-9
    )


def test_length_is_each_way_and_exact():
    field = fields.perlin(scale=30, seed=1).curl()
    both = fields.streamline(field, (30, 20), REGION, length=5)
    ahead = fields.streamline(field, (30, 20), REGION, length=5, both_ways=False)
    assert both.length == pytest.approx(10, rel=1e-3)
    np.testing.assert_allclose(ahead[0][0], (30, 20))
    np.testing.assert_allclose(both[0][-1], ahead[0][-1], atol=1e-9)


def test_stays_inside_and_stops_at_holes():
    region = REGION.difference(Point(30, 20).buffer(8))
    field = fields.perlin(scale=30, seed=1, octaves=2).curl()
    lines = fields.streamline(
        field, np.random.default_rng(0).uniform((0, 0), (60, 40), (40, 2)), region
    )
    assert shapely.covers(region.buffer(1e-9), shapely.union_all(lines.to_shapely()))


def test_ends_at_critical_points():
    sink = fields.source((30, 20), speed=-1)
    for step in (None, 0.3):
        lines = fields.streamline(
            sink, [(10, 5), (50, 35), (30, 20)], REGION, step=step, both_ways=False
        )
        assert len(lines) == 2
        assert np.abs([stroke[-1] - (30, 20) for stroke in lines]).max() < 0.31


def test_chords_keep_within_the_tolerance():
    coarse, fine = (
        fields.streamline(fields.vortex((30, 20)), (40, 20), REGION, tolerance=t)
        for t in (0.2, 0.002)
    )
    assert len(coarse.points) < 0.2 * len(fine.points)
    for line, tolerance in ((coarse, 0.2), (fine, 0.002)):
        middles = (line.points[1:] + line.points[:-1]) / 2
        assert np.abs(np.hypot(*(middles - (30, 20)).T) - 10).max() < 1.2 * tolerance


def test_nothing_to_draw_and_refusals():
    assert len(fields.streamline(fields.uniform(), np.empty((0, 2)), REGION)) == 0
    assert len(fields.streamline(fields.uniform(), (5, 5), Polygon())) == 0
    assert len(fields.streamline(fields.uniform(speed=0), (5, 5), REGION)) == 0
    with pytest.raises(InvalidValue, match="start"):
        fields.streamline(fields.uniform(), (1, 2, 3), REGION)
    with pytest.raises(InvalidValue, match="step must be greater than 0"):
        fields.streamline(fields.uniform(), (1, 2), REGION, step=0)
    with (
        np.errstate(divide="ignore", invalid="ignore"),
        pytest.raises(InvalidValue, match="not finite at"),
    ):
        fields.streamline(fields.flow(lambda x, y: (x / (x - 20), y)), (20, 5), REGION)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"step": 1e-6}, "step = 1e-06 makes 100,000,000 steps for 100 mm.*take 0.001 mm or more"),
        ({"tolerance": 1e-12}, "tolerance = 1e-12 makes .* chords"),
    ],
)
def test_lines_without_end_are_refused_before_they_start(options, words):
    with pytest.raises(InvalidValue, match=words):
        fields.streamline(fields.vortex((30, 20)), (40, 20), REGION, **options)


def test_a_length_beyond_the_area_is_no_reason_to_refuse():
    """Ten million steps by the length; the area's width and height allow 100,000, the most."""
    options = {"step": 1e-3, "length": 1e4, "both_ways": False}
    [line] = fields.streamline(fields.uniform(), (57, 5), REGION, **options)
    np.testing.assert_allclose(line[[0, -1]], [(57, 5), (60, 5)], atol=1e-9)


def test_a_line_that_does_not_end_is_refused_instead_of_cut(monkeypatch):
    monkeypatch.setattr(sys.modules["plotlib.fields.streamline"], "_MOST_STEPS", 5)
    with pytest.raises(InvalidValue, match=r"from \(40, 20\) has no end after 6 steps"):
        fields.streamline(fields.vortex((30, 20)), (40, 20), REGION)
