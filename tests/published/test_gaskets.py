"""Apollonian gaskets against published curvatures and counts, and guilloche bands against the star
polygons whose parts and crossings they share.
"""

import math

import numpy as np
import pytest
import shapely

from plotlib import curves, fields, shapes
from plotlib.fills.circles import packed
from tests.outside import COMPUTED, MEMORY, SECONDARY, published

LMW = "Lagarias, Mallows, Wilks, Amer. Math. Monthly 109 (2002) 338-361"
DESCARTES = f"Descartes circle theorem, k' = 2 (a + b + c) - d, in whole numbers; {LMW}"


def bends(root, most):
    """Curvatures up to ``most`` of the gasket that begins with -outer, a, b."""
    outer, a, b = root
    gasket = fields.apollonian(
        (30, 20),
        10.0 * outer,
        smallest=10.0 * outer * outer / most * (1 - 1e-9),
        curvatures=(a / outer, b / outer),
    )
    return 10.0 * outer * outer / gasket[:, 2]


@published(
    module="fields",
    source=f"{LMW}, the (-1, 2, 2, 3) gasket",
    kind=SECONDARY,
    printed=[2, 3, 6, 11, 14, 15, 18, 23, 26, 27, 30, 35, 38],
    rel=1e-9,
)
def test_curvatures_of_the_gasket_of_minus_1_2_2_3(printed, within):
    every = np.unique(bends((1, 2, 2), 38).round(6))
    assert every.tolist() == within.of(printed)


@published(
    module="fields",
    source=DESCARTES,
    kind=COMPUTED,
    column="counts",
    claim="circles of an Apollonian gasket with curvatures up to 20, 100, 1000, the outer one too",
)
@pytest.mark.parametrize(
    ("root", "counts"),
    [
        ((1, 2, 2), (23, 169, 3329)),
        ((6, 11, 14), (4, 17, 324)),
        ((2, 3, 6), (11, 67, 1301)),
        ((3, 5, 8), (8, 39, 786)),
    ],
)
def test_counts_of_gaskets(root, counts):
    assert tuple(len(bends(root, most)) + 1 for most in (20, 100, 1000)) == counts


@published(module="fields", source=DESCARTES, kind=COMPUTED, printed=[2, 3, 6, 11, 14, 15, 18, 23])
def test_curvatures_of_a_gasket_are_whole_and_of_eight_kinds_modulo_24(printed):
    every = bends((1, 2, 2), 1000)
    assert np.abs(every - every.round()).max() < 1e-6
    assert np.unique(every.round() % 24).tolist() == printed


@published(module="fields", source=DESCARTES, kind=COMPUTED, printed=0.993754344, abs=1e-9)
def test_share_of_the_disc_that_curvatures_up_to_1000_fill(printed, within):
    assert (bends((1, 2, 2), 1000) ** -2.0).sum() == within.of(printed)


@published(
    module="fields",
    source="McMullen, Amer. J. Math. 120 (1998) 691-721: dimension of the gasket",
    kind=MEMORY,
    printed=1.305688,
    abs=0.002,
)
def test_circles_multiply_by_the_dimension_of_the_gasket(printed, within):
    few, many = (len(bends((1, 2, 2), most)) for most in (7_000, 70_000))
    assert math.log10(many / few) == within.of(printed)


@published(
    module="fields",
    source="Soddy, Nature 137 (1936) 1021: three unit circles",
    kind=COMPUTED,
    printed=0.154700538,
    abs=1e-9,
)
def test_circle_between_three_unit_circles(printed, within):
    coins = [(5, 5, 1), (7, 5, 1), (6, 5 + math.sqrt(3), 1)]
    assert fields.apollonian_gap(coins, smallest=0.1)[0, 2] == within.of(printed)


@published(
    module="fills",
    source="Soddy, Nature 137 (1936) 1021: three unit circles",
    kind=COMPUTED,
    printed=[0.154700538, 0.062781720],
    abs=2e-5,
    claim="radii of the first circles in the gap between three unit circles",
)
def test_circles_that_fill_the_gap_between_three_unit_circles(printed, within):
    """The second is that between two of the unit circles and the first: 1 / (2 + k + 2 sqrt(1 +
    2 k)), k = 1 / 0.154700538.
    """
    corners = [(0.0, 0.0), (2.0, 0.0), (1.0, math.sqrt(3))]
    coins = shapely.union_all([shapely.Point(at).buffer(1, quad_segs=300) for at in corners])
    gap = shapely.Polygon(corners).difference(coins.buffer(1e-12))
    found = packed(max(shapely.get_parts(gap), key=lambda part: part.area), 0.05)
    assert len(found) == 4
    assert found[:2, 2] == within.of(printed)


@published(
    module="fills",
    source="Descartes circle theorem, (a + b + c + d)² = 2 (a² + b² + c² + d²); by hand for a line",
    kind=COMPUTED,
    printed=[10.0, 1.715728753, 1.715728753, 1.715728753, 1.715728753],
    abs=1e-9,
    claim="circles in a square of 20 mm: 10 (3 − √8) in its corners; all fours that touch obey it",
)
def test_circles_that_fill_a_square_obey_the_theorem(printed, within):
    found = packed(shapely.box(0, 0, 20, 20), 0.11)
    assert found[:5, 2] == within.of(printed)
    between = np.hypot(*(found[:, None, :2] - found[None, :, :2]).T)
    touch = np.abs(between - found[:, None, 2] - found[None, :, 2]) < 1e-9
    fours = {
        tuple(sorted((a, b, c, d)))
        for a, b in np.argwhere(np.triu(touch))
        for c in np.flatnonzero(touch[a] & touch[b])
        for d in np.flatnonzero(touch[a] & touch[b] & touch[c])
    }
    bends = 1 / found[np.array(sorted(fours)), 2]
    assert len(bends) >= 24
    assert bends.sum(axis=1) ** 2 == pytest.approx(2 * (bends**2).sum(axis=1), rel=1e-9)


@published(
    module="curves",
    source="Coxeter, Regular Polytopes, 6.1: {n/d}: gcd(n, d) parts, n (d - 1) crossings",
    kind=MEMORY,
    column="parts crossings",
)
@pytest.mark.parametrize(
    ("lobes", "lines", "parts", "crossings"),
    [(5, 2, 1, 5), (7, 3, 1, 14), (8, 2, 2, 8), (12, 4, 4, 36), (30, 7, 1, 180), (15, 6, 3, 75)],
)
def test_a_guilloche_has_the_parts_and_crossings_of_a_star(lobes, lines, parts, crossings):
    ring = [shapes.circle((0, 0), radius, tolerance=1e-3) for radius in (20, 30)]
    band = curves.guilloche(*ring, lobes=lobes, lines=lines, phase=17, tolerance=1e-3)
    assert len(band) == parts
    pieces = shapely.node(shapely.MultiLineString(list(band))).geoms
    ends = shapely.get_coordinates([shapely.get_point(pieces, at) for at in (0, -1)])
    meeting = np.unique(ends.round(6), axis=0, return_counts=True)[1]
    assert (meeting == 4).sum() == crossings  # elsewhere two pieces meet, or a stroke ends
