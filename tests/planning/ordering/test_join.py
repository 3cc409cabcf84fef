from __future__ import annotations

import numpy as np
import pytest

from plotlib.errors import InvalidValue
from plotlib.planning.ordering.join import Joined, join
from tests.oracles_planning import euler_count, ragged, segments, strokes_of


def runs(joined: Joined) -> list[list[tuple[int, int]]]:
    return strokes_of(joined.points, joined.offsets)


def joined_of(strokes, **options):
    return join(*ragged(strokes), **options)


def test_nothing_and_one_stroke_stay_as_they_are():
    assert len(join(np.zeros((0, 2), dtype=np.int64), np.zeros(1, dtype=np.int64)).offsets) == 1
    joined = joined_of([[(3, 4), (1, 2), (7, 7)]])
    assert runs(joined) == [[(3, 4), (1, 2), (7, 7)]]
    assert (joined.least, joined.linked, joined.source.tolist()) == (1, 0.0, [0])


def test_lowest_stroke_keeps_its_direction_and_runs_come_in_the_given_order():
    joined = joined_of(
        [[(50, 0), (60, 0)], [(10, 0), (0, 0)], [(20, 0), (10, 0)], [(60, 0), (70, 0)]]
    )
    assert runs(joined) == [[(50, 0), (60, 0), (70, 0)], [(20, 0), (10, 0), (0, 0)]]
    assert joined.source.tolist() == [0, 1]


def test_a_crossing_is_passed_straight_on():
    joined = joined_of([[(0, 0), (5, 5)], [(5, 5), (10, 0)], [(0, 10), (5, 5)], [(5, 5), (10, 10)]])
    assert runs(joined) == [[(0, 0), (5, 5), (10, 10)], [(0, 10), (5, 5), (10, 0)]]


def test_the_straightest_pair_goes_first_where_three_meet():
    joined = joined_of([[(5, 9), (5, 0)], [(0, 1), (5, 0)], [(5, 0), (10, 0)]])
    assert runs(joined) == [[(5, 9), (5, 0)], [(0, 1), (5, 0), (10, 0)]]


def test_a_star_of_many_rays_is_paired_across():
    rays = [
        [(0, 0), (round(1000 * np.cos(a)), round(1000 * np.sin(a)))]
        for a in np.arange(40) * np.pi / 20
    ]
    joined = joined_of(rays)
    assert joined.least == len(runs(joined)) == 20
    for run in runs(joined):
        assert run[0] == (-run[2][0], -run[2][1])
    assert len(runs(joined_of(rays[:-1]))) == 20


def test_interior_points_are_cut_only_where_it_saves_a_lift():
    line = [(0, 0), (5, 0), (10, 0)]
    crossing = [(5, -5), (5, 0), (5, 5)]
    assert runs(joined_of([line, crossing])) == [line, crossing]


def test_a_closed_outline_is_drawn_from_where_another_stroke_meets_it():
    square = [(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]
    joined = joined_of([square, [(10, 10), (20, 10)]])
    assert len(runs(joined)) == joined.least == 1
    assert segments(runs(joined)) == segments([square, [(10, 10), (20, 10)]])


def test_a_closed_outline_is_drawn_in_the_middle_of_a_line_that_passes_through():
    triangle = [(2, 8), (5, 0), (8, 8), (2, 8)]
    line = [(0, 0), (5, 0), (10, 0)]
    joined = joined_of([triangle, line])
    assert len(runs(joined)) == joined.least == 1
    assert segments(runs(joined)) == segments([triangle, line])


def test_a_chain_of_closed_outlines_is_one_closed_run():
    squares = [
        [(10 * k, 0), (10 * k + 10, 0), (10 * k + 10, 10), (10 * k, 10), (10 * k, 0)]
        for k in range(0, 10)
    ]
    diamonds = [
        [(10 * k, 0), (10 * k + 5, 5), (10 * k + 10, 0), (10 * k + 5, -5), (10 * k, 0)]
        for k in range(10)
    ]
    for outlines in (squares, diamonds):
        joined = joined_of(outlines)
        assert joined.least == len(runs(joined)) == 1
        assert runs(joined)[0][0] == runs(joined)[0][-1] == (0, 0)


def test_two_open_lines_that_cross_stay_two():
    joined = joined_of([[(0, 0), (5, 5), (10, 10)], [(0, 10), (5, 5), (10, 0)]])
    assert joined.least == len(runs(joined)) == 2


def test_doubled_strokes_stay_doubled():
    joined = joined_of([[(0, 0), (9, 0)]] * 3)
    assert runs(joined) == [[(0, 0), (9, 0), (0, 0), (9, 0)]]


def test_dots_stay_dots_even_on_an_end():
    joined = joined_of([[(0, 0)], [(0, 0), (5, 0)], [(0, 0)], [(5, 0), (9, 0)], [(4, 4)]])
    assert runs(joined) == [[(0, 0)], [(0, 0), (5, 0), (9, 0)], [(0, 0)], [(4, 4)]]
    assert joined.source.tolist() == [0, 1, 2, 4]
    assert joined.least == 4


def test_a_stroke_that_crosses_itself_stays_as_it_is():
    loop = [(0, 0), (5, 0), (10, 5), (5, 10), (5, 0), (0, -5)]
    assert runs(joined_of([loop])) == [loop]


def test_links_join_ends_within_the_tolerance_and_are_counted():
    strokes = [[(0, 0), (100, 0)], [(103, 4), (200, 0)], [(206, 0), (300, 0)]]
    assert len(runs(joined_of(strokes, tolerance=4.9))) == 3
    near = joined_of(strokes, tolerance=5)
    assert (len(runs(near)), near.least, near.linked) == (2, 2, 5.0)
    joined = joined_of(strokes, tolerance=6)
    assert (len(runs(joined)), joined.linked) == (1, 11.0)
    assert segments(runs(joined)) - segments(strokes) == segments(
        [[(100, 0), (103, 4)], [(200, 0), (206, 0)]]
    )


def test_a_link_that_saves_no_lift_is_not_drawn():
    almost_closed = [(0, 0), (50, 0), (50, 50), (0, 50), (0, 2)]
    joined = joined_of([almost_closed], tolerance=5)
    assert runs(joined) == [almost_closed]
    assert joined.linked == 0.0


def test_the_shortest_link_goes_first():
    joined = joined_of(
        [[(0, 0), (100, 0)], [(104, 0), (200, 50)], [(102, 0), (200, -50)]], tolerance=5
    )
    assert joined.linked == 2.0
    assert len(runs(joined)) == 2


def test_closed_outlines_are_linked_at_the_ends_they_were_given_with():
    square = [(0, 0), (50, 0), (50, 50), (0, 50), (0, 0)]
    other = [(-3, 0), (-50, 0), (-50, 50), (-3, 0)]
    joined = joined_of([square, other], tolerance=3)
    assert (len(runs(joined)), joined.least, joined.linked) == (1, 1, 3.0)


def test_tolerance_must_not_be_negative():
    with pytest.raises(InvalidValue, match="tolerance must be at least 0"):
        joined_of([[(0, 0), (1, 0)]], tolerance=-1)


def test_large_coordinates_are_exact():
    far = 2**52
    joined = joined_of(
        [
            [(far, far), (far + 1, far)],
            [(far + 1, far), (far + 1, far + 1)],
            [(far + 2, far), (far + 3, far)],
        ]
    )
    assert len(runs(joined)) == 2
    assert runs(joined)[0] == [(far, far), (far + 1, far), (far + 1, far + 1)]


def test_a_large_street_grid_is_joined_to_the_theoretical_count():
    n = 120
    i, j = np.meshgrid(np.arange(n), np.arange(n + 1))
    across = np.stack([i, j, i + 1, j], axis=-1).reshape(-1, 4)
    strokes = (
        np.random.default_rng(5)
        .permutation(np.concatenate([across, across[:, [1, 0, 3, 2]]]))
        .reshape(-1, 2)
    )
    joined = join(strokes, np.arange(0, len(strokes) + 1, 2))
    assert len(joined.offsets) - 1 == joined.least == 2 * (n - 1)
    assert euler_count(strokes_of(strokes, np.arange(0, len(strokes) + 1, 2))) == joined.least
