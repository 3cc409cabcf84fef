"""Generalised subtour sets: no tour breaks one, and with them grids of squares have a bound."""

from __future__ import annotations

import itertools

import numpy as np

from plotlib.planning.bounding import subtours_kernel as kernel
from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.bounding.sets_kernel import Near, touching
from plotlib.planning.metric import distance_metric
from tests.oracles_planning import distance_cost, exact_cost, ragged


def random_tour(rng, group):
    """Links a < b of a random order, each closed run at a random vertex, and whether each point is
    chosen.
    """
    path = [int(rng.choice(np.flatnonzero(group == run))) for run in rng.permutation(group[-1] + 1)]
    chosen = np.zeros(len(group), dtype=bool)
    chosen[path] = True
    return {(min(link), max(link)) for link in itertools.pairwise(path)}, chosen


def test_no_tour_takes_more_links_of_a_subtour_set_than_chosen_points_make_room_for():
    """On random means of links, against random tours, of which some fill the sets."""
    rng = np.random.default_rng(8)
    seen = 0
    for _ in range(200):
        sizes = rng.choice([1, 1, 2, 3, 4], int(rng.integers(3, 8)))
        group = np.repeat(np.arange(len(sizes)), sizes)
        share = np.where(sizes == 1, 2, 0)[group]
        pairs = itertools.combinations(range(len(group)), 2)
        edges = np.array([(a, b) for a, b in pairs if group[a] != group[b]])
        taken = rng.uniform(0, 0.9, len(edges)) ** rng.uniform(0.2, 2)
        chosen = np.where(share == 0, rng.uniform(0, 1, len(group)), 0.0)
        near = Near(edges, taken, *touching(edges, len(group)))
        order = np.argsort(-taken, kind="stable")
        rows, starts, spares, marks = kernel.find(near, order, chosen, group, share, len(sizes))
        assert len(set(marks.tolist())) == len(marks)
        for _ in range(40):
            links, is_chosen = random_tour(rng, group)
            for s, spare in enumerate(spares):
                points = rows[starts[s] : starts[s + 1], 0]
                inside = set(itertools.combinations(sorted(points.tolist()), 2)) & links
                room = int(is_chosen[points[group[points] != spare]].sum())
                assert len(inside) <= room
                seen += 0 < len(inside) == room
    assert seen > 1000


def test_squares_in_a_grid_cannot_take_half_a_corner_here_and_half_a_corner_there():
    """Four corners meet at each crossing, so every fourth move at least is a long one; without the
    sets the bound of three by three is 59 % of the optimum.
    """
    square = [(0, 0), (8, 0), (8, 8), (0, 8), (0, 0)]
    places = itertools.product(range(3), repeat=2)
    strokes = [[(10 * i + x, 10 * j + y) for x, y in square] for i, j in places]
    optimum = exact_cost(strokes, distance_cost, (0, 0), (0, 0))
    bound = lower_bound(*ragged(strokes), distance_metric(1.0), home=(0, 0), finish=(0, 0))
    assert 0.7 * optimum < bound <= optimum * (1 + 1e-12)


def test_overlapping_stars_stay_below_the_optimum():
    rng = np.random.default_rng(6)
    around = np.exp(1j * np.pi / 5 * np.arange(10)) * np.where(np.arange(10) % 2, 40, 100)
    for _ in range(10):
        stars = []
        for _ in range(6):
            corners = complex(*rng.uniform(0, 250, 2)) + around * np.exp(1j * rng.uniform(0, 6))
            points = [(round(z.real), round(z.imag)) for z in corners]
            stars.append([*points, points[0]])
        optimum = exact_cost(stars, distance_cost, (0, 0), None)
        bound = lower_bound(*ragged(stars), distance_metric(1.0), home=(0, 0), finish=None)
        assert bound <= optimum * (1 + 1e-12)
