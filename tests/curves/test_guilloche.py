import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import KDTree

from plotlib import Drawing, Pen, shapes
from plotlib.curves import guilloche
from plotlib.errors import InvalidValue, UnknownName

RING = (shapes.circle((5, -3), 20, tolerance=0.005), shapes.circle((5, -3), 30, tolerance=0.005))
STRIP = ([(0, 0), (60, 0)], [(0, 10), (60, 10)])


@settings(max_examples=25)
@given(lobes=st.integers(1, 40), lines=st.integers(1, 14), phase=st.floats(-400, 400))
def test_stays_in_its_band_and_touches_both_edges_as_often_as_asked(lobes, lines, phase):
    band = guilloche(*RING, lobes=lobes, lines=lines, phase=phase, tolerance=0.05)
    assert band.is_closed.all()
    assert len(band) == math.gcd(lobes, lines)
    away = np.hypot(*(band.points - (5, -3)).T)
    assert away.min() >= 20 - 0.01
    assert away.max() <= 30 + 1e-9
    points = KDTree(band.points)
    for edge, half in ((30, 0.0), (20, 0.5)):
        angle = 2 * np.pi * (np.arange(lobes) + lines * (half - phase / 360)) / lobes
        places = (5, -3) + edge * np.column_stack([np.cos(angle), np.sin(angle)])
        assert points.query(places)[0].max() < 0.02


def test_an_open_band_has_a_stroke_for_each_line():
    band = guilloche(*STRIP, lobes=9, lines=4, phase=30, tolerance=1e-3, pen=Pen("a"))
    assert len(band) == 4
    assert [pen.name for pen in band.pens] == ["a"]
    for number, stroke in enumerate(band):
        assert stroke[[0, -1], 0].tolist() == [0, 60]
        angle = 2 * np.pi * (stroke[:, 0] / 60 * 9 + number) / 4 + np.pi / 6
        np.testing.assert_allclose(stroke[:, 1], 5 + 5 * np.cos(angle), atol=1e-9)


@pytest.mark.parametrize("tolerance", [0.2, 0.02, 0.002])
def test_lines_are_within_tolerance(tolerance):
    x = np.linspace(0, 60, 20_001)
    exact = shapely.points(x, 5 + 5 * np.cos(2 * np.pi * x / 10))
    line = guilloche(*STRIP, lobes=6, lines=1, tolerance=tolerance)
    assert shapely.distance(shapely.LineString(line[0]), exact).max() <= tolerance


def test_points_may_be_paired():
    inner = [(10, 10), (50, 10), (50, 20), (10, 20), (10, 10)]
    outer = [(0, 0), (60, 0), (60, 30), (0, 30), (0, 0)]
    band = guilloche(inner, outer, lobes=40, lines=7, pairing="points", tolerance=0.01)
    wall = shapely.Polygon(outer, [inner])
    assert wall.buffer(1e-9).covers(shapely.MultiLineString(list(band)))
    across = band.points[np.abs(band.points[:, 0] - band.points[:, 1]) < 1e-9]
    assert len(across) >= 7  # each line has a point on the mitre
    with pytest.raises(InvalidValue, match="inner has 5, outer 4"):
        guilloche(inner, [(0, 0), (60, 0), (60, 30), (0, 0)], lobes=9, lines=2, pairing="points")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"inner": Drawing()}, "one stroke, got 0 strokes"),
        ({"inner": [(1, 1), (1, 1)]}, "no length"),
        ({"inner": [(0, 0), (1, 1)]}, "inner is open and outer closed"),
        ({"lobes": 0}, "lobes must be from 1"),
        ({"lines": 2.5}, "lines must be a whole number"),
        ({"lines": 10_000, "lobes": 99_999}, "lines = 10000 makes .* points, more than 1,000,000"),
        ({"lobes": 100_001}, "lobes must be from 1 to 100000"),
        ({"tolerance": 1e-9}, "tolerance = 1e-09 makes .* points, more than 1,000,000"),
        ({"tolerance": 1e-12}, "use a larger tolerance"),
    ],
)
def test_refusals(change, says):
    usual = {"inner": RING[0], "outer": RING[1], "lobes": 12, "lines": 5}
    with pytest.raises(InvalidValue, match=says):
        guilloche(**usual | change)


def test_an_unknown_pairing_lists_those_there_are():
    with pytest.raises(UnknownName, match="pairing must be one of 'length', 'points'"):
        guilloche(*RING, lobes=12, lines=5, pairing="corners")


def test_a_whole_number_of_swings_needs_no_second_turn():
    band = guilloche(*RING, lobes=24, lines=8)
    assert len(band) == math.gcd(24, 8)
    ways = [np.unwrap(np.arctan2(*(stroke - (5, -3)).T[::-1])) for stroke in band]
    assert [np.ptp(way) for way in ways] == pytest.approx([2 * np.pi] * 8)
