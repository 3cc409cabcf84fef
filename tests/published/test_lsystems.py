"""L-systems against printed rules and exact counts.

P. Prusinkiewicz, A. Lindenmayer, The Algorithmic Beauty of Plants, Springer 1990, chapter 1: plant
rules, angles and depths of fig. 1.24 (page 25), the edge-rewriting curves of figs. 1.10 and 1.11
and the quadratic island of fig. 1.6 (figure numbers from memory). Counts and boxes follow from the
rules by counting outside this package.
"""

import math
from functools import partial

import numpy as np
import pytest
import shapely

from plotlib import curves
from plotlib.curves.rewriting import rewritten
from tests.outside import COMPUTED, MEMORY, published

ABOP = "P. Prusinkiewicz, A. Lindenmayer, The Algorithmic Beauty of Plants, 1990"
known = partial(published, module="curves", source="counted from the rules", kind=COMPUTED)


def distinct(points):
    return len(np.unique(np.round(points, 6), axis=0))


def steps(drawing):
    return len(drawing.points) - len(drawing)


def box(drawing):
    left, bottom, right, top = drawing.bounds
    return right - left, top - bottom


PLANTS = {
    "a": ("F", {"F": "F[+F]F[-F]F"}, 25.7, 5, 3125, 7811, 243, 81.385),
    "b": ("F", {"F": "F[+F]F[-F][F]"}, 20, 5, 3125, 9373, 63, None),
    "c": ("F", {"F": "FF-[-F+F+F]+[+F-F-F]"}, 22.5, 4, 4096, 11116, 55.898, None),
    "d": ("X", {"X": "F[+X]F[-X]+X", "F": "FF"}, 20, 7, 4118, 13956, 248.934, None),
    "e": ("X", {"X": "F[+X][-X]FX", "F": "FF"}, 25.7, 7, 4118, 12863, 254, None),
    "f": ("X", {"X": "F-[[X]+X]+F[+FX]-X", "F": "FF"}, 22.5, 5, 1488, 6263, 80.166, None),
}


@known(
    source=f"{ABOP}, fig. 1.24",
    kind=MEMORY,
    printed={name: row[4:] for name, row in PLANTS.items()},
    abs=5e-4,
    claim="segments, symbols, height and width of six plants",
)
@pytest.mark.parametrize("plant", PLANTS)
def test_plants(plant, within, printed):
    axiom, rules, angle, depth = PLANTS[plant][:4]
    segments, symbols, height, width = printed[plant]
    drawing = curves.lsystem(axiom, rules, depth=depth, angle=angle)
    assert len(rewritten(axiom, rules, depth)) == symbols
    assert steps(drawing) == segments
    assert drawing.length == pytest.approx(segments, rel=1e-12)
    assert box(drawing)[1] == within.of(height)
    assert width is None or box(drawing)[0] == within.of(width)


@known(source=f"{ABOP}, chapter 1", kind=MEMORY, printed=[1, 2, 3, 5, 8, 13, 21, 34])
def test_algae_grow_by_fibonacci_numbers(printed):
    assert [len(rewritten("A", {"A": "AB", "B": "A"}, depth)) for depth in range(8)] == printed


@known(
    source=f"{ABOP}, fig. 1.6", kind=MEMORY, column="side", claim="sides of the quadratic island"
)
@pytest.mark.parametrize(("depth", "side"), [(1, 6), (2, 26), (3, 106)])
def test_quadratic_island(depth, side):
    drawing = curves.lsystem("F-F-F-F", {"F": "F-F+F+FF-F-F+F"}, depth=depth, angle=90, heading=0)
    assert steps(drawing) == 4 * 8**depth
    assert box(drawing) == (side, side)
    assert drawing.is_closed.all()


@known(rel=1e-12, claim="the Koch curve has 4^n steps on a base of 3^n")
@pytest.mark.parametrize("depth", [1, 2, 4])
def test_koch(depth, within):
    drawing = curves.koch((0, 0), (3**depth, 0), depth=depth)
    assert steps(drawing) == 4**depth
    assert drawing.length == within.of(4**depth)
    assert box(drawing) == within.of((3**depth, 3**depth * math.sqrt(3) / 6))


@known(printed=316.049383, abs=5e-7)
def test_koch_on_a_side_of_100(within, printed):
    assert curves.koch((0, 0), (100, 0), depth=4).length == within.of(printed)


@known(
    printed={"areas": [0.433013, 0.577350, 0.641500, 0.670011], "limit": 0.692820},
    abs=5e-7,
    claim="areas of the Koch snowflake and their limit",
)
def test_koch_snowflake(within, printed):
    flakes = [curves.koch_snowflake((0, 0), 1 / math.sqrt(3), depth=depth) for depth in range(5)]
    assert [steps(flake) for flake in flakes] == [3 * 4**depth for depth in range(5)]
    assert all(flake.is_closed.all() for flake in flakes)
    areas = [shapely.Polygon(flake[0]).area for flake in flakes]
    assert areas[:4] == within.of(printed["areas"])
    limit = 2 * math.sqrt(3) / 5
    assert limit == within.of(printed["limit"])
    gaps = limit - np.array(areas)
    assert gaps[1:] / gaps[:-1] == pytest.approx(
        [4 / 9] * 4, rel=1e-9
    )  # each round adds 4/9 of the area that the round before added


@known(rel=1e-12, claim="the dragon curve has 2^n steps and draws none twice")
@pytest.mark.parametrize("depth", [1, 5, 10])
def test_dragon(depth, within):
    drawing = curves.dragon((0, 0), (2 ** (depth / 2), 0), depth=depth)
    assert steps(drawing) == 2**depth
    assert drawing.length == within.of(2**depth)
    edges = np.sort(
        np.round(np.stack([drawing[0][:-1], drawing[0][1:]], axis=1), 6).view(complex)[..., 0],
        axis=1,
    )
    assert len(np.unique(edges, axis=0)) == 2**depth


@known(printed=690, claim="points that the dragon of depth 10 visits")
def test_dragon_of_depth_10_visits_690_points_that_are_equal_bit_for_bit(printed):
    assert len(np.unique(curves.dragon((0, 0), (32, 0), depth=10)[0], axis=0)) == printed
    assert len(np.unique(curves.dragon((0.1, 0.7), (31, 5), depth=10)[0], axis=0)) == printed


@known(rel=1e-12, claim="the arrowhead has 3^n steps and visits no point twice")
@pytest.mark.parametrize("depth", [1, 2, 6])
def test_sierpinski(depth, within):
    drawing = curves.sierpinski_arrowhead((0, 0), (2**depth, 0), depth=depth)
    assert steps(drawing) == 3**depth
    assert drawing.length == within.of(3**depth)
    assert distinct(drawing[0]) == 3**depth + 1
    assert drawing.bounds[1] > -1e-9  # the triangle is on the left
    assert drawing.bounds[3] <= 2**depth * math.sqrt(3) / 2 + 1e-9


@known(rel=1e-12, claim="the Gosper curve has 7^n steps and visits no point twice")
@pytest.mark.parametrize("depth", [1, 3, 4])
def test_gosper(depth, within):
    drawing = curves.gosper((0, 0), (7 ** (depth / 2), 0), depth=depth)
    assert steps(drawing) == 7**depth
    assert drawing.length == within.of(7**depth)
    assert distinct(drawing[0]) == 7**depth + 1


@known(column="length", rel=1e-12)
@pytest.mark.parametrize(
    ("depth", "length"), [(1, 300), (2, 500), (3, 900), (4, 1700), (5, 3300), (6, 6500)]
)
def test_hilbert_on_a_square_of_side_100(depth, length, within):
    drawing = curves.hilbert((0, 0), 100, depth=depth)
    assert drawing.length == within.of(length)
    assert len(np.unique(drawing[0], axis=0)) == len(drawing[0]) == 4**depth
    assert drawing[0][[0, -1]].tolist() == [[0, 0], [100, 0]]
    assert drawing.bounds == (0, 0, 100, 100)


@known(rel=1e-12, claim="the Peano curve visits 9^n points once")
@pytest.mark.parametrize("depth", [1, 2, 3])
def test_peano(depth, within):
    drawing = curves.peano((0, 0), 3**depth - 1, depth=depth)
    assert drawing.length == within.of(9**depth - 1)
    assert len(np.unique(drawing[0], axis=0)) == len(drawing[0]) == 9**depth
    assert drawing[0][[0, -1]].tolist() == [[0, 0], [3**depth - 1, 3**depth - 1]]
