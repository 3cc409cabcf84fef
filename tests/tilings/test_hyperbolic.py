"""Tiles of the hyperbolic plane have their sizes in it, and cover the disc once."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import pytest
import shapely
from shapely import Point

from plotlib import Drawing, Pen, tilings
from plotlib.errors import InvalidValue
from plotlib.tilings.hyperbolic import _geodesics
from tests.outside import COMPUTED, published

known = partial(published, module="tilings", kind=COMPUTED)


# edge, drawn radius of the inscribed and of the circumscribed circle, by Coxeter's closed forms
SIZES = {
    (7, 3): (0.566256, 0.266077, 0.300743),
    (5, 4): (1.061275, 0.303559, 0.397975),
    (4, 5): (1.253739, 0.259264, 0.397975),
    (6, 4): (1.316958, 0.414214, 0.517638),
}
LAYERS = {
    (7, 3): [1, 7, 21, 56, 147],
    (5, 4): [1, 5, 15, 40, 105],
    (4, 5): [1, 4, 12, 28, 64],
    (6, 4): [1, 6, 24, 90],
    (8, 3): [1, 8, 32, 120],
}


def distance(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Between points of the unit disc, in the hyperbolic plane (Poincaré's metric)."""
    gap = np.abs(u - v) ** 2
    return np.arccosh(1 + 2 * gap / ((1 - np.abs(u) ** 2) * (1 - np.abs(v) ** 2)))


@known(
    source="H. S. M. Coxeter, 1954: cosh (edge / 2) = cos (π / p) / sin (π / q)",
    printed=SIZES,
    abs=1e-6,
    claim="edges and radii of hyperbolic tiles",
)
@pytest.mark.parametrize(("p", "q"), SIZES)
def test_edges_have_their_length_everywhere(p, q, within, printed):
    """As cosh (edge / 2) = cos (π / p) / sin (π / q) (H. S. M. Coxeter, 1954; also worked out)."""
    edge, inner, outer = printed[p, q]
    disc = tilings.hyperbolic(p, q, radius=1000, centre=(30, -20), least=8)
    spots = (disc.straight.points - [30, -20]) @ np.array([1, 1j]) / 1000
    corners = spots.reshape(-1, p)
    lengths = distance(corners, np.roll(corners, -1, axis=1))
    assert np.allclose(lengths, edge, atol=within.abs)
    assert math.cosh(edge / 2) == pytest.approx(
        math.cos(math.pi / p) / math.sin(math.pi / q), rel=1e-6
    )
    assert np.allclose(np.abs(corners[0]), outer, atol=1e-6)
    middle_tile = disc.areas(0)[0]
    assert middle_tile.exterior.distance(Point(30, -20)) == pytest.approx(1000 * inner, abs=0.03)


@known(source="counted apart", printed=LAYERS, claim="tiles of the hyperbolic plane by layer")
@pytest.mark.parametrize(("p", "q"), LAYERS)
def test_tiles_by_layer(p, q, printed):
    """Counted by edges from the middle tile (worked out elsewhere)."""
    layers = printed[p, q]
    disc = tilings.hyperbolic(p, q, radius=1000, least=1, depth=len(layers) - 1)
    assert np.bincount(disc.kinds).tolist() == layers
    assert len(disc) == len(disc.areas()) == sum(layers)


@pytest.mark.parametrize(("p", "q"), [*LAYERS, (3, 7), (3, 12), (12, 3), (5, 7)])
def test_tiles_do_not_overlap_and_stay_in_the_disc(p, q):
    disc = tilings.hyperbolic(p, q, radius=60, centre=(3, 4), angle=17, least=1.5)
    areas = np.array(disc.areas(), object)
    assert shapely.is_valid(areas).all()
    assert all(area.exterior.is_ccw for area in areas)
    whole = shapely.union_all(areas, grid_size=1e-7)
    assert shapely.area(areas).sum() == pytest.approx(whole.area, rel=1e-7)
    assert Point(3, 4).buffer(60, quad_segs=2000).contains(whole)
    tree = shapely.STRtree(areas)
    one, other = tree.query(areas, predicate="intersects")
    shared = shapely.area(shapely.intersection(areas[one], areas[other]))[one < other]
    assert shared.max() < 1e-9 * 60**2


def test_angles_of_a_turn_are_shared_round_each_corner():
    """The arcs at a corner part evenly: seven at 360 / 7 degrees."""
    disc = tilings.hyperbolic(3, 7, radius=1000, least=100, tolerance=1e-4)
    first = disc.straight.points[0]
    ways = []
    for stroke in disc.edges():
        for line in (stroke, stroke[::-1]):
            if np.hypot(*(line[0] - first)) < 1e-6:
                step = line[1] - line[0]
                ways.append(math.degrees(math.atan2(step[1], step[0])))
    assert np.allclose(np.diff(np.sort(ways)), 360 / 7, atol=0.1)


def test_arcs_stay_within_the_tolerance_of_their_circles():
    """The edge of the middle tile of {6, 4}: a circle of radius 1 about the distance root 2."""
    disc = tilings.hyperbolic(6, 4, radius=100, depth=0, angle=30, tolerance=0.05)
    outline = disc.outlines()[0]
    assert len(disc.edges()) == 6
    right = outline[outline[:, 0] > 100 * 0.517638 * math.cos(math.radians(30)) - 1e-3]
    far = np.hypot(*(right - [100 * math.sqrt(2), 0]).T)
    assert np.allclose(far, 100, atol=1e-3)
    middles = 0.5 * (right[1:] + right[:-1])
    steps = np.hypot(*np.diff(right, axis=0).T)
    near = steps < 30  # neighbours along this edge
    assert (np.hypot(*(middles[near] - [100 * math.sqrt(2), 0]).T) > 100 - 0.05).all()
    straight = _geodesics(np.array([[-0.5 + 0j, 0.5 + 0j]]), 100, 0.01)
    assert straight == Drawing([[(-0.5, 0), (0.5, 0)]])


def test_edges_come_once():
    """Euler: corners - edges + tiles = 1 for a patch without holes."""
    disc = tilings.hyperbolic(7, 3, radius=50, depth=3, least=0.1)
    corners, _ = disc.straight.corners()
    assert len(corners) - len(disc.edges()) + len(disc) == 1
    assert len(tilings.stars(disc.straight, 60)) == 7 * len(disc)


def test_a_disc_tiling_is_a_value():
    disc = tilings.hyperbolic(5, 4, radius=50, depth=2)
    assert repr(disc) == "<DiscTiling: 21 tiles in 3 layers>"
    with pytest.raises(AttributeError, match="does not change"):
        disc.straight = None
    red = Pen("red")
    assert disc.edges(pen=red).pens == disc.outlines(1, pen=red).pens == (red,)
    assert len(disc.outlines(1)) == 5
    for ask in (disc.outlines, disc.areas):  # as those of a Tiling: a typing error is no empty page
        with pytest.raises(InvalidValue, match=r"kind 99; .* the kinds 0, 1, 2$"):
            ask(99)
    tiny = tilings.hyperbolic(5, 4, radius=1, least=9)
    assert len(tiny) == len(tiny.edges()) == len(tiny.areas()) == 0
    assert len(tiny.outlines(99)) == len(tiny.areas(99)) == 0


def test_refusals():
    for p, q in ((4, 4), (3, 6), (5, 3)):
        with pytest.raises(InvalidValue, match="no tiling of the hyperbolic plane"):
            tilings.hyperbolic(p, q, radius=50)
    with pytest.raises(InvalidValue, match="take a larger one"):
        tilings.hyperbolic(7, 3, radius=50, least=1e-5)
