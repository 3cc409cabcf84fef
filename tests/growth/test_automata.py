"""Cellular automata as lines."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import convolve
from shapely import Point, Polygon, box

from plotlib import growth
from plotlib.errors import InvalidValue, UnknownName
from plotlib.growth.automata_kernel import generation, rows_of
from tests.outside import MEMORY, published

RING = Point(0, 0).buffer(12).difference(Point(2, 0).buffer(5))


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 255), st.integers(0, 2**32))
def test_rows_are_those_of_plain_numpy(rule: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    is_in = random.random((12, 15)) < 0.9
    first = random.random(15) < 0.5
    found = rows_of(rule, is_in, first)
    bits = np.array([rule >> k & 1 for k in range(8)], np.bool_)
    row = first & is_in[0]
    for k in range(12):
        assert (found[k] == row).all()
        wide = np.pad(row.astype(int), 1)
        row = bits[4 * wide[:-2] + 2 * wide[1:-1] + wide[2:]]
        row = row & is_in[min(k + 1, 11)]


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 511), st.integers(0, 511), st.integers(0, 2**32))
def test_generations_are_those_of_plain_numpy(birth: int, survival: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    is_in = random.random((12, 15)) < 0.9
    alive = (random.random((12, 15)) < 0.5) & is_in
    near = convolve(alive.astype(int), np.ones((3, 3), int), mode="constant") - alive
    expected = np.where(alive, survival, birth) >> near & 1
    assert (generation(birth, survival, is_in, alive) == (expected.astype(bool) & is_in)).all()


rules = st.one_of(st.integers(0, 255), st.sampled_from(["B3/S23", "B3/S12345", "B5678/S45678"]))


@settings(max_examples=30, deadline=None)
@given(rules, st.sampled_from(["single", "random"]), st.floats(0.4, 6), st.integers(0, 2**32))
def test_outlines_are_round_the_runs_and_stay_inside(
    rule: int | str, start: str, spacing: float, seed: int
) -> None:
    """The area within the outlines is that of the cells which the runs pass, whole cells of the
    area; no grid edge is drawn twice.
    """
    options = {"rule": rule, "start": start, "spacing": spacing, "seed": seed, "steps": 4}
    outlines = growth.automaton(RING, **options)
    runs = growth.automaton(RING, drawn="runs", **options)
    assert bool(len(outlines)) == bool(len(runs))
    if not len(runs):
        return
    assert outlines.is_closed.all()
    area = growth.automaton(RING, **options)
    rings = shapely.polygons([shapely.linearrings(stroke) for stroke in area])
    inside = rings[0]
    for ring in rings[1:]:
        inside = shapely.symmetric_difference(inside, ring, grid_size=1e-7)
    cells = runs.length / spacing + len(runs)
    assert inside.area == pytest.approx(cells * spacing**2, rel=1e-5)
    lines = shapely.union_all(outlines.to_shapely(), grid_size=1e-7)
    assert lines.length == pytest.approx(outlines.length, rel=1e-6)
    assert shapely.covers(RING.buffer(1e-5), lines)
    assert outlines == area


@published(
    module="growth",
    source="E. R. Berlekamp, J. H. Conway, R. K. Guy, Winning Ways, 1982",
    kind=MEMORY,
    claim="the block of four stays, three in a row turn to and fro",
)
def test_known_figures_of_life() -> None:
    """The block stays as it is, three in a row turn to and fro (*Winning Ways*, 1982)."""
    alive = np.zeros((5, 5), np.bool_)
    alive[2, 1:4] = True
    everywhere = np.ones((5, 5), np.bool_)
    once = generation(0b1000, 0b1100, everywhere, alive)
    assert (once == alive.T).all()
    assert (generation(0b1000, 0b1100, everywhere, once) == alive).all()
    block = np.zeros((5, 5), np.bool_)
    block[1:3, 1:3] = True
    assert (generation(0b1000, 0b1100, everywhere, block) == block).all()


def test_refusals() -> None:
    for options, words in (
        ({"rule": 256}, "rule"),
        ({"rule": "B9/S2"}, "B3/S23"),
        ({"spacing": 0.01}, "larger one"),
        ({"rule": "B3/S23", "steps": 10**9}, "take fewer"),
    ):
        with pytest.raises(InvalidValue, match=words):
            growth.automaton(RING, **options)
    with pytest.raises(UnknownName, match="single"):
        growth.automaton(RING, start="two")
    assert len(growth.automaton(Polygon())) == 0
    told: list[float] = []
    growth.automaton(box(0, 0, 20, 20), rule="B3/S23", progress=told.append)
    assert told[-1] == 1.0
