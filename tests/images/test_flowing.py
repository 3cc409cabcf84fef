"""Short strokes along a flow: what they follow, and what their kernel keeps count of."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from plotlib import images
from plotlib.images.scribble_kernel import COUNT, STROKES, Paper
from plotlib.images.streak_kernel import LONGEST, lines, streak
from tests.images.pictures import PEN, photograph, ramp, steps_of

FINE = 10
RADIUS = 2.5
STEP = 5.0
ENOUGH = 0.06
# Two strokes that are there already, in fine pixels.
POINTS = np.array([[10.2, 20.3], [150.1, 20.3], [10.2, 90.3], [150.1, 90.3]])
OFFSETS = np.array([0, 2, 4])


def paper(lack):
    rows, columns = lack.shape
    return Paper(
        lack=lack.copy(),
        inked=np.zeros((rows * FINE, columns * FINE), np.bool_),
        bare=np.full((rows, columns), FINE * FINE, np.int64),
        points=np.zeros((20_000, 2)),
        first=np.zeros(20_000, np.int64),
        counts=np.zeros(2, np.int64),
        fine=FINE,
    )


def along(angle):
    return np.tile([np.cos(angle), np.sin(angle)], (12, 16, 1))


def drawn(lack, angle):
    """A paper with the two strokes and what is drawn on it; the points and offsets of that."""
    sheet = paper(lack)
    random = np.random.default_rng(1)
    lines(sheet, POINTS, OFFSETS, RADIUS)
    while not streak(sheet, along(angle), random, RADIUS, STEP, ENOUGH, 50):
        pass
    count = sheet.counts[COUNT]
    offsets = np.append(sheet.first[: sheet.counts[STROKES]], count)
    return sheet, sheet.points[:count], offsets


@pytest.mark.parametrize("angle", [0.0, 0.7, 2.0])
def test_steps_follow_the_flow_and_are_not_too_many(angle):
    _, points, offsets = drawn(np.full((12, 16), 0.5), angle)
    assert len(offsets) > 10
    counts = np.diff(offsets)
    assert counts.max() <= 2 * LONGEST + 1
    inner = np.ones(len(points) - 1, np.bool_)
    inner[offsets[1:-1] - 1] = False
    steps = np.diff(points, axis=0)[inner]
    across = steps @ [-np.sin(angle), np.cos(angle)]
    assert np.abs(across).max() < 1e-9
    assert np.allclose(np.hypot(*steps.T), STEP)
    # one way through the whole stroke: it never doubles back
    way = steps @ [np.cos(angle), np.sin(angle)]
    stroke = np.repeat(np.arange(len(counts)), counts)[1:][inner]
    for number in np.unique(stroke):
        assert abs(np.sign(way[stroke == number]).sum()) == (stroke == number).sum()


@pytest.mark.parametrize("coverage", [0.2, 0.5, 0.9])
def test_what_is_inked_is_what_a_fresh_print_shows(coverage):
    lack = np.full((12, 16), coverage)
    sheet, points, offsets = drawn(lack, 0.4)
    strokes = [POINTS[:2], POINTS[2:], *np.split(points, offsets[1:-1])]
    ink = shapely.MultiLineString([np.repeat(stroke, 2, 0) for stroke in strokes])
    rows, columns = np.indices(sheet.inked.shape) + 0.5
    # by Shapely: the pixels whose middles lie within the pen's radius of a stroke
    assert (sheet.inked == shapely.dwithin(shapely.points(columns, rows), ink, RADIUS)).all()
    assert (sheet.bare == FINE**2 - sheet.inked.reshape(12, FINE, 16, FINE).sum(axis=(1, 3))).all()
    # no cell lacks more than enough, and on the whole the tone is met
    assert sheet.lack.max() <= ENOUGH
    assert abs(sheet.inked.mean() - coverage) < 0.05


def test_nothing_is_drawn_where_nothing_lacks():
    lack = np.full((12, 16), 0.5)
    lack[:, 8:] = -10.0
    _, points, _ = drawn(lack, 0.4)
    assert len(points)
    assert points[:, 0].max() <= 8 * FINE


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_ramp_rises_with_any_seed(seed):
    tone = ramp()
    steps = steps_of(images.flow_strokes(tone, seed=seed, pen=PEN), tone)
    assert (np.diff(steps) > -0.01).all()


def test_most_of_the_ink_is_in_long_lines():
    drawing = images.flow_strokes(photograph("coffee", 60.0), pen=PEN)
    lengths = np.array([np.hypot(*np.diff(stroke, axis=0).T).sum() for stroke in drawing])
    assert lengths[lengths > 10 * PEN.width].sum() > 0.6 * lengths.sum()
