from itertools import pairwise

import numpy as np
import pytest
from shapely import Point, Polygon, box

from plotlib import fields
from plotlib.fields.ridgelines import _visible
from tests.oracles_fields import hidden


def test_hides_what_the_oracle_hides():
    columns = np.arange(40.0)
    profiles = (
        np.random.default_rng(0).normal(size=(12, 40)).cumsum(axis=1) + np.arange(12)[:, None] * 0.7
    )
    points, offsets = _visible(columns, profiles)
    seen = hidden(columns, profiles)
    whole = points[:, 0] == np.round(points[:, 0])
    assert whole.sum() == sum(row.sum() for row in seen)
    placed = {(x, round(y, 9)) for x, y in points[whole]}
    assert placed == {
        (c, round(profiles[k, int(c)], 9)) for k in range(12) for c in columns[seen[k]]
    }
    assert (np.diff(offsets) >= 1).all()
    for a, b in pairwise(offsets):
        assert (np.diff(points[a:b, 0]) > 0).all()
        assert np.diff(points[a:b, 0]).max(initial=0) <= 1


def test_ends_lie_on_the_horizon():
    points, offsets = _visible(
        np.array([0.0, 1, 2, 3, 4]), np.array([[0, 0, 4, 0, 0.0], [1, 1, 1, 1, 1.0]])
    )
    assert [part.tolist() for part in np.split(points, offsets[1:-1])][1:] == [
        [[0, 1], [1, 1], [1.25, 1]],
        [[2.75, 1], [3, 1], [4, 1]],
    ]


def test_flat_ground_gives_base_lines():
    lines = fields.ridgelines(fields.constant(0), box(10, 20, 60, 30), spacing=2, height=5)
    assert [stroke.tolist() for stroke in lines] == [
        [[10, y], [60, y]] for y in (21, 23, 25, 27, 29)
    ]
    assert (
        len(fields.ridgelines(fields.constant(0), box(10, 20, 60, 30), spacing=2, height=5, sky=5))
        == 2
    )


def test_nearer_hills_hide():
    hill = fields.from_function(lambda x, y: np.exp(-((x - 50) ** 2 + (y - 5) ** 2) / 30))
    shown, every = (
        fields.ridgelines(hill, box(0, 0, 100, 60), spacing=2, height=30, hidden=flag)
        for flag in (True, False)
    )
    assert len(every) == 30
    assert len(shown) > 30
    assert shown.length < every.length


def test_stays_inside():
    disc = Point(30, 30).buffer(20)
    lines = fields.ridgelines(fields.perlin(scale=10), disc, spacing=1, height=4)
    assert np.hypot(*(lines.points - 30).T).max() <= 20 + 1e-9
    assert len(fields.ridgelines(fields.ramp(), Polygon(), spacing=1, height=1)) == 0


def test_refusals():
    with pytest.raises(ValueError, match="spacing must be greater than 0"):
        fields.ridgelines(fields.ramp(), box(0, 0, 1, 1), spacing=0, height=1)
