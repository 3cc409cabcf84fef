"""Weighted Voronoi stippling: Secord's rules, the kernel's oracle, and the number of dots."""

from __future__ import annotations

import math

import numpy as np
import pytest

from plotlib import images
from plotlib.images.stippling import relaxed, stippled
from plotlib.images.voronoi_kernel import sorted_sites, tally
from plotlib.images.wanted import Wanted
from plotlib.pen import Pen
from tests.images.pictures import PEN, photograph
from tests.oracles_images import plain_cells
from tests.outside import COMPUTED, published


def field(values, cell=0.5):
    return Wanted(np.asarray(values, np.float64), 0.0, 0.0, cell, cell)


@pytest.mark.parametrize("seed", range(6))
def test_cells_are_those_of_all_pairs(seed):
    random = np.random.default_rng(seed)
    weights = random.random((23, 31)) * (random.random((23, 31)) > 0.3)
    points = random.random((40, 2)) ** (1 + seed % 3) * (31 * 0.5, 23 * 0.4)
    sites, order = sorted_sites(points, 31 * 0.5, 23 * 0.4)
    sums = np.zeros((40, 3))
    energy = tally(weights, 0, 23, 0.5, 0.4, sites, sums)
    expected, plain = plain_cells(weights, 0.5, 0.4, points)
    assert energy == pytest.approx(expected, rel=1e-12)
    assert sums == pytest.approx(plain[order], rel=1e-12, abs=1e-12)


def test_the_energy_falls_in_every_round_and_centroids_settle():
    # A. Secord, Weighted Voronoi Stippling (NPAR 2002): relaxation ends in centroidal cells
    random = np.random.default_rng(1)
    y, x = np.mgrid[:60, :80]
    weights = field(0.1 + np.exp(-((x - 50) ** 2 + (y - 20) ** 2) / 300))
    points = random.random((60, 2)) * weights.size
    energies = []
    moves = []
    for _ in range(120):
        after = relaxed(weights, points)
        energies.append(after.energy)
        sites, _ = sorted_sites(points, *weights.size)
        moves.append(float(np.abs(after.points - sites.points).max()))
        points = after.points
    assert (np.diff(energies) <= 1e-9 * energies[0]).all()
    assert energies[-1] < 0.9 * energies[0]
    assert moves[-1] < 0.02 * moves[0]


@published(
    module="images",
    source="the two centroids of Lloyd's fixed point, 2 / 3 phi and 4 / 3 phi",
    kind=COMPUTED,
    abs=5e-4,
)
def test_two_points_find_the_golden_section(within):
    # Lloyd's fixed point of two sites on [0, 1] with density x: 2/(3 phi) and 4/(3 phi), the border
    # at 1/phi (worked out by hand from the two centroids)
    golden = (1 + math.sqrt(5)) / 2
    columns = 3_000
    weights = Wanted(
        ((np.arange(columns) + 0.5) / columns)[None, :], 0.0, 0.0, 1 / columns, 1 / columns
    )
    points = np.array([[0.2, 0.5 / columns], [0.9, 0.5 / columns]])
    for _ in range(200):
        points = relaxed(weights, points).points
    assert sorted(points[:, 0]) == pytest.approx(
        [2 / (3 * golden), 4 / (3 * golden)], abs=within.abs
    )


@published(
    module="images",
    source="A. Secord, NPAR 2002, section 3",
    kind=COMPUTED,
    printed=(3, 0.75),
    abs=0.01,
)
def test_the_centroid_of_a_triangle_weighs_its_density(within, printed):
    # density x on the triangle (0,0) (6,0) (0,3): centroid (3, 3/4) (formula of the weighted
    # centroid, Secord 2002, section 3)
    y, x = (np.mgrid[:300, :600] + 0.5) * 0.01
    weights = Wanted(np.where(x / 6 + y / 3 < 1, x, 0.0), 0.0, 0.0, 0.01, 0.01)
    assert relaxed(weights, np.array([[1.0, 1.0]])).points[0] == within.of(printed)


def test_dots_are_as_many_as_asked():
    tone = photograph("coffee", 40.0)
    for count in (1, 2, 50, 1_000):
        assert abs(len(images.stipple(tone, count=count)) - count) <= 0.01 * count


def test_density_goes_with_the_tone_and_not_with_its_root():
    weights = field(np.repeat([[1.0, 4.0]], 80, axis=0).repeat(80, axis=1), 0.25)
    points = stippled(weights, 1_000, 60, np.random.default_rng(0))
    dense = (points[:, 0] > 20).mean()
    assert dense == pytest.approx(0.8, abs=0.02)


def test_dots_keep_their_distance():
    from scipy.spatial import cKDTree

    tone = images.Tone([[0.5]], (0, 0, 40, 40))
    points = images.stipple(tone, pen=PEN).points
    nearest = cKDTree(points).query(points, k=2)[0][:, 1]
    even = math.sqrt(2 / math.sqrt(3) * 1600 / len(points))  # of a hexagonal lattice
    assert np.quantile(nearest, 0.01) > 0.65 * even


def test_circles_stay_inside_and_cover_as_much():
    tone = images.Tone([[0.6]], (0, 0, 40, 40))
    rings = images.stipple(tone, radius=0.6, pen=Pen("fine", width=0.3))
    assert rings.is_closed.all()
    left, bottom, right, top = rings.bounds
    assert min(left, bottom) >= 0
    assert max(right, top) <= 40
    assert abs(images.judge(rings, tone).bias) < 0.03
