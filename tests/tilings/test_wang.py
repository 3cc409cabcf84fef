"""Wang tiles match their neighbours; sets that cannot cover are refused."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import Drawing, tilings
from plotlib.errors import InvalidValue, UnknownName
from plotlib.tilings.wang import _SETS
from tests.outside import MEMORY, published

known = partial(published, module="tilings", kind=MEMORY)


def grid(tiles, columns: int, rows: int, seed: int = 0) -> np.ndarray:
    """Numbers of tiles (rows, columns) of a box."""
    tiling = tilings.wang(box(0, 0, columns, rows), tiles, side=1, seed=seed)
    return tiling.kinds.reshape(rows, columns)


def matches(numbers: np.ndarray, tiles) -> bool:
    colours = np.array(tiles)[numbers]
    beside = (colours[:, :-1, 1] == colours[:, 1:, 3]).all()
    above = (colours[:-1, :, 0] == colours[1:, :, 2]).all()
    return bool(beside and above)


@pytest.mark.parametrize("name", _SETS)
@pytest.mark.parametrize("seed", range(3))
def test_named_sets_match(name, seed):
    assert matches(grid(name, 20, 15, seed), _SETS[name])


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 6), st.integers(1, 6))
@example(4064, 2, 3)  # a colour below that no stack has
def test_any_set_matches_or_is_refused(seed, columns, rows):
    """Against all ways to lay few tiles: what is refused as a row that does not exist has none."""
    random = np.random.default_rng(seed)
    tiles = random.integers(0, 3, (6, 4))
    try:
        assert matches(grid(tiles, columns, rows, seed), tiles)
    except InvalidValue as error:
        if "make a row" in str(error):
            links = tiles[:, 1][:, None] == tiles[:, 3]
            ways = np.linalg.matrix_power(links.astype(int), columns - 1).sum()
            assert ways == 0


def repeats(tiles, period: int) -> bool:
    """Whether some patch of a height up to the period repeats both ways: rows of ``period`` tiles
    that close, one above the other until a row comes again.
    """
    tiles = np.array(tiles)
    rows = [(k,) for k in range(len(tiles))]
    for _ in range(period - 1):
        rows = [
            (*row, k) for row in rows for k in range(len(tiles)) if tiles[row[-1], 1] == tiles[k, 3]
        ]
    rows = [row for row in rows if tiles[row[-1], 1] == tiles[row[0], 3]]
    north = {row: tuple(tiles[list(row), 0]) for row in rows}
    south = {row: tuple(tiles[list(row), 2]) for row in rows}
    left = set(rows)
    while left:  # rows without one above or below in what is left cannot be part of it
        tops = {north[row] for row in left}
        bottoms = {south[row] for row in left}
        kept = {row for row in left if north[row] in bottoms and south[row] in tops}
        if kept == left:
            return True
        left = kept
    return False


@known(
    source="E. Jeandel, M. Rao, An aperiodic set of 11 Wang tiles, 2015",
    printed=(11, 4, 5),
    claim="eleven Wang tiles, no patch of which repeats to the side",
)
def test_the_eleven_do_not_repeat(printed):
    """The table is from memory; so is what is asked of it: eleven tiles of four and five colours,
    large areas are covered, and no row of up to eight tiles that repeats can be built upon for
    ever, so that no patch up to that width repeats.
    """
    tiles = np.array(_SETS["eleven"])
    assert len(np.unique(tiles, axis=0)) == printed[0]
    assert len(np.unique(tiles[:, [1, 3]])) == printed[1]
    assert len(np.unique(tiles[:, [0, 2]])) == printed[2]
    assert not any(repeats(tiles, period) for period in range(1, 9))
    assert repeats(_SETS["eight"], 1)
    assert matches(grid("eleven", 26, 26, 1), tiles)


@known(
    source="M. F. Cohen et al., Wang Tiles for Image and Texture Generation, SIGGRAPH 2003",
    printed=(8, 16, 2),
    claim="stochastic sets of two colours have two tiles, or four, for every north and west",
)
def test_stochastic_sets_never_stop(printed):
    eight = np.array(_SETS["eight"])
    sixteen = np.array(_SETS["sixteen"])
    assert (len(eight), len(sixteen)) == printed[:2]
    for corner in ([0, 3], [2, 3]):  # whether laid from above or from below
        pairs, counts = np.unique(eight[:, corner], axis=0, return_counts=True)
        assert len(pairs) == 4
        assert (counts == printed[2]).all()
        assert (np.unique(sixteen[:, corner], axis=0, return_counts=True)[1] == 4).all()


def test_all_tiles_come_as_often():
    counts = np.bincount(grid("eight", 100, 100, 5).ravel(), minlength=8)
    assert counts.min() > 1100
    assert counts.max() < 1400


def test_strands_run_on_across_edges():
    """Where an end lies inside of the box another one does, and both leave at right angles."""
    tiling = tilings.wang(box(0, 0, 12, 9), "eleven", side=1, seed=2)
    strands = tilings.wang_strands(tiling, "eleven", tolerance=1e-4)
    assert len(strands) == 2 * len(tiling)
    ends = np.concatenate(
        [strands.points[strands.offsets[:-1]], strands.points[strands.offsets[1:] - 1]]
    )
    spots, counts = np.unique(np.round(ends, 9), axis=0, return_counts=True)
    inside = ((spots > 1e-6) & (spots < np.array([12, 9]) - 1e-6)).all(axis=1)
    assert (counts[inside] == 2).all()
    assert (counts[~inside] == 1).all()
    assert inside.sum() == 11 * 9 + 12 * 8


def test_motifs_lie_in_tiles():
    tiling = tilings.wang(Point(20, 20).buffer(18), side=4, seed=1)
    dots = tiling.carrying(Drawing([[(0, 0)]]), kind=3)
    assert len(dots) == (tiling.kinds == 3).sum() > 0
    whole = shapely.union_all(tiling.areas(), grid_size=1e-9)
    assert whole.buffer(1e-6).contains(Point(20, 20).buffer(18))


def test_refusals_and_nothing():
    area = box(0, 0, 20, 20)
    assert len(tilings.wang(shapely.Polygon(), side=3)) == 0
    assert len(tilings.wang_strands(tilings.wang(shapely.Polygon(), side=3))) == 0
    with pytest.raises(InvalidValue, match="no 20 of the tiles make a row"):
        tilings.wang(area, [(0, 1, 0, 2)], side=1)
    # rows can be laid, but not upon each other
    with pytest.raises(InvalidValue, match="only 1 rows; add tiles"):
        tilings.wang(area, [(0, 1, 2, 1)], side=1)
    with pytest.raises(InvalidValue, match="four colours"):
        tilings.wang(area, [(0, 1, 2)], side=1)
    with pytest.raises(InvalidValue, match="whole numbers from 0 to 63"):
        tilings.wang(area, [(0, 1, 0, 0.5)], side=1)
    with pytest.raises(UnknownName, match="there are sixteen, eight, eleven"):
        tilings.wang(area, "nine", side=1)
    with pytest.raises(InvalidValue, match="longer side"):
        tilings.wang(area, side=1e-3)
    with pytest.raises(InvalidValue, match="give the set it was laid with"):
        tilings.wang_strands(tilings.archimedean(area, "6.6.6", side=3), "eleven")
