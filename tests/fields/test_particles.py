import math

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from plotlib import fields
from plotlib.errors import InvalidValue
from plotlib.fields.particles import within


def test_speed_approaches_the_flow_as_the_exponential_says():
    """From rest in a uniform flow U: x(t) = U (t − lag (1 − exp(−t / lag))), exactly."""
    tracks = fields.particles(
        fields.uniform(speed=8), box(0, 0, 1e4, 10), count=6, duration=5, lag=2, tolerance=0
    )
    for track in tracks:
        t = np.arange(len(track)) * 0.1
        wanted = 8 * (t - 2 * (1 - np.exp(-t / 2)))
        np.testing.assert_allclose(track[:, 0] - track[0, 0], wanted, atol=1e-9)


def test_without_lag_they_are_streamlines():
    tracks = fields.particles(
        fields.flow(lambda x, y: (-y, x)),
        Point(0, 0).buffer(50),
        count=20,
        duration=3,
        lag=0,
        step=0.005,
        seed=1,
    )
    assert max(np.ptp(np.hypot(*track.T)) for track in tracks) < 0.05


def test_momentum_carries_them_out_of_bends():
    tracks = fields.particles(
        fields.flow(lambda x, y: (-y, x)),
        Point(0, 0).buffer(50),
        count=20,
        duration=6,
        lag=0.5,
        seed=1,
    )
    assert all(np.hypot(*track[-1]) > np.hypot(*track[0]) for track in tracks)


def test_stay_inside_and_start_inside():
    area = Point(30, 30).buffer(25).difference(Point(30, 30).buffer(10))
    tracks = fields.particles(
        fields.perlin(scale=20).curl() * 300, area, count=200, duration=10, lag=0.4
    )
    assert shapely.covers(area.buffer(1e-9), shapely.union_all(tracks.to_shapely()))
    assert len(tracks) >= 200


def test_same_seed_same_bytes():
    a, b, c = (
        fields.particles(fields.uniform(), box(0, 0, 9, 9), count=5, duration=3, lag=1, seed=seed)
        for seed in (1, 1, 2)
    )
    assert a == b != c


def test_points_within_are_even():
    area = box(0, 0, 10, 10).difference(box(0, 0, 9, 9))
    shapely.prepare(area)
    spots = within(area, 5000, np.random.default_rng(0))
    assert len(spots) == 5000
    assert np.mean(spots[:, 0] > 9) == pytest.approx(10 / 19, abs=0.03)


def test_nothing_and_refusals():
    assert len(fields.particles(fields.uniform(), Polygon(), count=5, duration=1, lag=1)) == 0
    for options, words in (
        ({"count": 0}, "count"),
        ({"duration": math.nan}, "duration"),
        ({"lag": -1}, "lag"),
    ):
        with pytest.raises(InvalidValue, match=words):
            fields.particles(
                fields.uniform(),
                box(0, 0, 9, 9),
                **({"count": 3, "duration": 1, "lag": 1} | options),
            )


@pytest.mark.parametrize("options", [{"duration": 1e9}, {"step": 1e-6}, {"count": 1_000_000}])
def test_flights_without_end_are_refused_before_they_start(options):
    given = {"count": 10, "duration": 10, "lag": 1} | options
    with pytest.raises(InvalidValue, match=r"steps of .* more than .* take a step of") as refused:
        fields.particles(fields.uniform(speed=0), box(0, 0, 9, 9), **given)
    assert refused.value.count > 30
