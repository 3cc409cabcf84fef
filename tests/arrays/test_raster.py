"""Cover against the areas of geometry, a slow sampler and another raster library."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib.arrays.raster import _marked, cover, light_lost, shifts
from tests.outside import LIBRARY, Within, published


def samples(piece: np.ndarray, width: float, shape: tuple[int, int]) -> np.ndarray:
    """The distance of each sample of each pixel to a segment, (rows of samples, samples)."""
    x, y = places(width, shape)
    a, b = piece
    way = b - a
    share = np.clip(((x - a[0]) * way[0] + (y - a[1]) * way[1]) / max(way @ way, 1e-300), 0, 1)
    return np.hypot(x - a[0] - share * way[0], y - a[1] - share * way[1])


def places(width: float, shape: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    """Where the samples lie."""
    lattice = shifts(width)
    rows = len(lattice)
    y = (np.arange(shape[0] * rows)[:, None] + 0.5) / rows
    x = (np.arange(shape[1] * 8) + 0.5 + np.tile(lattice, shape[0])[:, None]) / 8
    return x, y


def slow(
    points: np.ndarray, offsets: np.ndarray, width: float, shape: tuple[int, int]
) -> np.ndarray:
    """The distance of each sample of each pixel to each segment."""
    rows = len(shifts(width))
    nearest = np.inf
    for first, end in pairwise(offsets):
        for k in range(first, max(end - 1, first + 1)):
            piece = points[[k, min(k + 1, end - 1)]]
            nearest = np.minimum(nearest, samples(piece, width, shape))
    return (nearest <= width / 2).reshape(shape[0], rows, shape[1], 8).mean(axis=(1, 3))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.2, 9), st.integers(1, 9))
def test_equals_the_slow_sampler(seed: int, width: float, count: int) -> None:
    rng = np.random.default_rng(seed)
    points = rng.uniform(-4, 24, (count * 3, 2))
    if seed % 3 == 0:
        points = np.rint(points)  # upright and level segments, repeated points
    offsets = np.sort(
        np.concatenate(
            [
                [0, len(points)],
                rng.choice(np.arange(1, len(points)), min(count, len(points) - 1), replace=False),
            ]
        )
    )
    mine = cover(points, offsets, width=width, shape=(17, 21))
    other = slow(points, offsets, width, (17, 21))
    # A sample at a distance of exactly half a width may fall to either side by rounding.
    assert np.abs(mine - other).max() <= 2 / 64 + 1e-6
    assert np.count_nonzero(np.abs(mine - other) > 1e-6) <= 4


@pytest.mark.parametrize("angle", [0, 7, 30, 45, 90, 143])
@pytest.mark.parametrize("width", [0.7, 1.77, 6.0])
def test_a_line_covers_its_area(angle: float, width: float) -> None:
    way = 60 * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    start = np.array([70.3, 70.4])
    points = np.array([start, start + way])
    area = cover(points, np.array([0, 2]), width=width, shape=(140, 140)).sum()
    # A level line may gain or lose a row of samples.
    assert area == pytest.approx(
        60 * width + math.pi * width**2 / 4, rel=0.01, abs=60 / 16 if angle % 180 == 0 else 0.0
    )


@pytest.mark.parametrize("width", [0.5, 1.0, 5.0, 30.0])
def test_a_dot_is_a_disc(width: float) -> None:
    area = cover(np.array([[20.2, 20.1]]), np.array([0, 1]), width=width, shape=(40, 40)).sum()
    assert area == pytest.approx(math.pi * width**2 / 4, rel=0.02, abs=0.01)


def test_crossing_and_retraced_strokes_cover_once() -> None:
    cross = np.array([[0.0, 8], [16, 8], [8, 0], [8, 16]])
    once = cover(cross, np.array([0, 2, 4]), width=3.3, shape=(16, 16))
    twice = cover(
        np.concatenate([cross, cross[::-1]]), np.array([0, 2, 4, 6, 8]), width=3.3, shape=(16, 16)
    )
    assert (once == twice).all()
    assert once[8, 8] == 1.0


def test_a_finely_divided_line_is_the_same_line() -> None:
    ends = np.array([[3.3, 2.1], [30.7, 17.9]])
    fine = ends[0] + np.linspace(0, 1, 200)[:, None] * (ends[1] - ends[0])
    lines = [
        cover(points, np.array([0, len(points)]), width=1.77, shape=(20, 34))
        for points in (ends, fine)
    ]
    assert np.abs(lines[0] - lines[1]).max() <= 1 / 128


def test_no_hairline_is_lost() -> None:
    for angle in range(0, 180, 5):
        way = 15 * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
        share = cover(
            np.array([[20 - way, 20 + way]]).reshape(2, 2) + 0.03,
            np.array([0, 2]),
            width=0.01,
            shape=(40, 40),
        )
        along = share.max(axis=0 if abs(way[0]) >= abs(way[1]) else 1)
        assert (along[11:29] > 0).all()


def test_what_lies_outside_is_left_out() -> None:
    far = np.array([[-1e13, -1e13], [1e13, -9e12], [50.0, 3.0], [3.0, -50.0], [-4.0, 5.0]])
    assert not cover(far, np.array([0, 2, 3, 4, 5]), width=2.0, shape=(10, 10)).any()
    through = cover(
        np.array([[-1e6, 5.0], [1e6, 5.0]]), np.array([0, 2]), width=2.0, shape=(10, 10)
    )
    assert (through[4:6] == 1).all()
    assert through.sum() == 20
    assert not cover(np.empty((0, 2)), np.zeros(1, np.int64), width=1.0, shape=(3, 2)).any()


@published(
    module="arrays",
    source="Anti-Grain Geometry, exact areas: pixels of a line's middle; 0.01 for all its ink",
    kind=LIBRARY,
    against="aggdraw",
    abs=0.07,
    claim="coverage of pixels by a line",
)
@pytest.mark.parametrize("angle", [3, 21, 45, 68, 88])
def test_agrees_with_another_raster_library(angle: float, within: Within) -> None:
    """The middle of a line against aggdraw (Anti-Grain Geometry, exact areas): its butt ends lie
    outside the picture.
    """
    aggdraw = pytest.importorskip("aggdraw")
    way = 80 * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    ends = np.array([20.3 - way, 20.3 + way])
    other = aggdraw.Draw("L", (40, 40), 0)
    other.line(ends.ravel().tolist(), aggdraw.Pen(255, 1.77))
    theirs = np.frombuffer(other.tobytes(), np.uint8).reshape(40, 40) / 255
    mine = cover(ends, np.array([0, 2]), width=1.77, shape=(40, 40))
    assert mine == within.of(theirs)
    assert mine.sum() == pytest.approx(theirs.sum(), rel=0.01)


def slow_passes(
    points: np.ndarray, offsets: np.ndarray, width: float, shape: tuple[int, int]
) -> np.ndarray:
    """How often the pen comes to each sample: at the first point of a stroke, or on a segment whose
    beginning is out of reach.
    """
    passes = 0
    for first, end in pairwise(offsets):
        passes = passes + (samples(points[[first, first]], width, shape) <= width / 2)
        for k in range(first, end - 1):
            comes = samples(points[[k, k + 1]], width, shape) <= width / 2
            is_there = samples(points[[k, k]], width, shape) <= width / 2
            passes = passes + (comes & ~is_there)
    return np.minimum(passes, 7)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.3, 9), st.integers(1, 5))
def test_passes_equal_those_of_a_slow_count(seed: int, width: float, count: int) -> None:
    rng = np.random.default_rng(seed)
    steps = rng.uniform(-6, 6, (count * 8, 2))
    points = np.cumsum(steps * rng.choice([0.05, 1.0], (len(steps), 1)), axis=0) + 9
    offsets = np.arange(0, len(points) + 1, 8)
    planes, touched = _marked(points, offsets, width, (17, 21))
    digits = np.unpackbits(planes.transpose(2, 0, 1), axis=2)
    mine = digits[0] + 2 * digits[1] + 4 * digits[2]
    other = slow_passes(points, offsets, width, (17, 21))
    # A sample at a distance of exactly half a width may fall to either side by rounding.
    assert np.count_nonzero(mine != other) <= 4
    rows = len(shifts(width))
    seen = mine.reshape(17, rows, 21, 8).any(axis=(1, 3))
    assert (touched.astype(bool) >= seen).all()


def lost(strokes: list[list[tuple[float, float]]], width: float, kept: float = 0.5) -> np.ndarray:
    """The light lost to strokes in a picture of 30 x 30 pixels."""
    points = np.concatenate([np.array(stroke, float) for stroke in strokes])
    offsets = np.cumsum([0, *map(len, strokes)])
    light = light_lost(points, offsets, width=width, shape=(30, 30), kept=np.full(3, kept))
    assert (light[..., 0] == light[..., 2]).all()
    return light[..., 0]


def test_each_pass_takes_its_share_of_what_is_left() -> None:
    line = [(-9.0, 15.0), (39.0, 15.0)]
    for times in (1, 2, 3, 7):
        assert lost([line] * times, 6.0)[15, 15] == pytest.approx(1 - 0.5**times)
    assert lost([line] * 12, 6.0)[15, 15] == pytest.approx(1 - 0.5**7)


def test_a_stroke_that_crosses_or_retraces_itself_is_two_passes_there() -> None:
    loop = [(5.0, 15.0), (25.0, 15.0), (25.0, 5.0), (15.0, 5.0), (15.0, 25.0)]
    light = lost([loop], 4.0)
    assert light[15, 15] == pytest.approx(0.75)
    assert light[15, 20] == light[20, 15] == pytest.approx(0.5)
    assert light[15, 25] == pytest.approx(0.5, abs=1e-3)  # a corner is no second pass
    back = lost([[(5.0, 15.0), (25.0, 15.0), (5.0, 15.0)]], 4.0)
    assert back[15, 10] == pytest.approx(0.75)


def test_fine_steps_are_one_pass() -> None:
    turns = np.linspace(0, 1.5 * np.pi, 3000)
    arc = list(zip(15 + 9 * np.cos(turns), 15 + 9 * np.sin(turns), strict=True))
    assert lost([arc], 4.0).max() == pytest.approx(0.5)


@pytest.mark.parametrize("width", [0.05, 0.4, 0.76, 1.13, 1.77, 2.36])
def test_a_line_takes_as_much_light_wherever_it_lies(width: float) -> None:
    """The integral is the width, whatever the place: exact geometry."""
    for angle in (0, 3, 45, 90):
        way = 60 * np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
        sums = []
        for place in np.linspace(0, 1, 29):
            middle = np.array([15.0, 15.0]) + place
            ends = [tuple(middle - way), tuple(middle + way)]
            light = lost([ends], width, kept=0.0)
            across = light[:, 15] if abs(way[0]) > abs(way[1]) - 1e-9 else light[15]
            sums.append(across.sum() * max(abs(way)) / 60)
        assert np.mean(sums) == pytest.approx(width, rel=0.03)
        assert np.ptp(sums) / np.mean(sums) < max(0.02, 1.3 / (64 * max(width, 1 / 8)))
