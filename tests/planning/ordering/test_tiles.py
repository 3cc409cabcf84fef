"""Tiles of a long tour: what is free in a tile, and that a tile's gain is the tour's gain."""

import numpy as np
import pytest

from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.tiles import (
    TILE,
    Ground,
    cells,
    in_tiles,
    long_links_search,
    tile_search,
)
from plotlib.planning.ordering.tour import Annealing, Search, greedy_tour

DISTANCE = distance_metric(1.0)


def strokes(count: int, seed: int, *, dots: bool = False) -> np.ndarray:
    rng = np.random.default_rng(seed)
    start = rng.integers(0, 10_000, (count, 2))
    end = start if dots else start + rng.integers(-300, 300, (count, 2))
    return np.stack([start, end], axis=1).reshape(-1, 2).astype(np.float64)


def ground_of(xy: np.ndarray) -> Ground:
    return Ground(DISTANCE, xy, near_lists(DISTANCE, xy))


def cost(xy: np.ndarray, seq: np.ndarray) -> float:
    """Length of all links of the closed tour, by numpy alone."""
    return float(np.hypot(*(xy[seq ^ 1] - xy[np.roll(seq, -1)]).T).sum())


@pytest.mark.parametrize("dots", [False, True])
@pytest.mark.parametrize("lists", [True, False])
def test_a_tile_leaves_all_links_that_reach_out_as_they_are_and_shortens_the_tour(
    dots: bool, lists: bool
) -> None:
    xy = strokes(800, 1, dots=dots)
    ground = ground_of(xy)
    seq = greedy_tour(DISTANCE, xy, ground.lists)
    if not lists:
        ground = Ground(DISTANCE, xy, None)
    inside = xy[0::2, 0] < 5_000
    found = tile_search(ground, seq, inside, Annealing(20.0, 1.5, 0.0, 3))
    assert sorted(found >> 1) == list(range(800))
    assert cost(xy, found) < 0.97 * cost(xy, seq)

    def reaching_out(tour: np.ndarray) -> set[frozenset[int]]:
        links = zip(tour ^ 1, np.roll(tour, -1), strict=True)
        return {
            frozenset((int(a), int(b))) for a, b in links if not (inside[a >> 1] and inside[b >> 1])
        }

    assert reaching_out(found) == reaching_out(seq)


def test_a_warm_tile_stands_where_the_search_stands_and_a_cooled_one_at_its_best() -> None:
    xy = strokes(300, 2)
    ground = ground_of(xy)
    search = Search(DISTANCE, xy, ground.lists, greedy_tour(DISTANCE, xy, ground.lists), 0)
    search.descend()
    everywhere = np.ones(300, bool)
    warm = tile_search(ground, search.best, everywhere, Annealing(20.0, 100.0, 100.0, 5))
    cooled = tile_search(ground, search.best, everywhere, Annealing(20.0, 100.0, 0.0, 5))
    assert cost(xy, cooled) <= search.best_cost() + 1e-6 < cost(xy, warm)


def test_lists_in_a_tile_are_the_lists_without_what_lies_outside() -> None:
    for dots in (False, True):
        xy = strokes(400, 3, dots=dots)
        ground = ground_of(xy)
        ends = np.random.default_rng(4).permutation(800)[:300]
        number = {int(e): k for k, e in enumerate(ends)}
        places, lists = ground.part(ends)
        np.testing.assert_array_equal(places, xy[ends])
        for k, e in enumerate(ends):
            wanted = [
                number[int(f)] for f in ground.lists.near[ground.lists.row[e]] if int(f) in number
            ]
            got = lists.near[lists.row[k]]
            assert list(got[got >= 0]) == wanted
            np.testing.assert_allclose(
                lists.far[lists.row[k]][: len(wanted)],
                np.hypot(*(xy[ends[wanted]] - xy[e]).T),
                rtol=1e-12,
            )
            assert np.isinf(lists.far[lists.row[k]][len(wanted) :]).all()


def test_annealing_cools_to_nothing_in_parts_as_in_one() -> None:
    whole = Annealing(30.0, 7.0, 0.0, 1)
    parts = [whole.part(k / 20, (k + 1) / 20, k) for k in range(20)]
    assert parts[-1].cool == 0.0
    np.testing.assert_allclose(
        [part.hot for part in parts[1:]], [part.cool for part in parts[:-1]], atol=1e-12
    )
    assert sum(part.kicks for part in parts) == pytest.approx(30.0)


def test_cells_have_about_the_size_asked_for_and_leave_out_what_has_no_place() -> None:
    middle = np.random.default_rng(5).uniform(0, 1, (5_000, 2))
    middle[::100] = np.nan
    labels = cells(middle, 500, 0.0)
    assert (labels[::100] == -1).all()
    sizes = np.unique(labels[labels >= 0], return_counts=True)[1]
    assert sizes.sum() == 4_950
    assert sizes.max() < 750


def test_rounds_in_tiles_end_far_below_a_descent() -> None:
    xy = strokes(2 * TILE, 6)
    ground = ground_of(xy)
    search = Search(DISTANCE, xy, ground.lists, greedy_tour(DISTANCE, xy, ground.lists), 0)
    search.descend()
    found = in_tiles(ground, search.best, Annealing(15.0, 0.7, 0.0, 1))
    assert sorted(found >> 1) == list(range(2 * TILE))
    assert cost(xy, found) < 0.96 * search.best_cost()


def test_rounds_end_at_once_where_there_is_no_time() -> None:
    xy = strokes(2 * TILE, 6)
    ground = ground_of(xy)
    seq = greedy_tour(DISTANCE, xy, ground.lists)
    np.testing.assert_array_equal(
        in_tiles(ground, seq, Annealing(15.0, 1.0, 0.0, 1, lambda: False)), seq
    )


def test_the_search_of_long_links_looks_at_the_clock() -> None:
    xy = strokes(TILE, 7)
    ground = ground_of(xy)
    seq = greedy_tour(DISTANCE, xy, ground.lists)
    asked = []
    found = long_links_search(ground, seq, 0, lambda: bool(asked.append(1)))
    assert asked
    assert sorted(found >> 1) == list(range(TILE))
    assert cost(xy, found) < cost(xy, seq)
