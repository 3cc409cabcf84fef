from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Point, Polygon, box

from plotlib import fields
from plotlib.errors import InvalidValue
from plotlib.fields import poisson_disk_kernel as kernel
from plotlib.fields.walls import walls_of
from tests.oracles_fields import plain_poisson_disk
from tests.outside import COMPUTED, published


@pytest.mark.parametrize("seed", range(4))
def test_distances_and_density(seed):
    """Every pair at least the spacing apart, exactly; N r² / A near what 30 tries give (0.62 … 0.63
    on this square, computed once).

    The saturated density is 0.6965 (random sequential adsorption, 0.547 · 4 / π), the hexagonal
    bound 2 / √3.
    """
    spots = fields.poisson_disk(box(0, 0, 100, 100), spacing=2, seed=seed)
    assert len(cKDTree(spots).query_pairs(np.nextafter(2, 0))) == 0
    assert 0.6 < len(spots) * 4 / 1e4 < 0.6965


def test_no_room_for_another():
    area = Point(0, 0).buffer(30)
    spots = fields.poisson_disk(area, spacing=3, seed=1)
    probes = np.random.default_rng(0).uniform(-21, 21, (5000, 2))
    assert np.mean(cKDTree(spots).query(probes)[0] > 3) < 0.003
    assert shapely.contains_xy(area, *spots.T).all()


def test_every_part_has_points():
    parts = [box(10 * k, 0, 10 * k + 1, 1) for k in range(30)]
    spots = fields.poisson_disk(MultiPolygon(parts), spacing=4)
    assert all(shapely.contains_xy(part, *spots.T).any() for part in parts)


def test_seed_and_nothing():
    a, b, c = (fields.poisson_disk(box(0, 0, 9, 9), spacing=1, seed=seed) for seed in (1, 1, 2))
    assert a.tobytes() == b.tobytes() != c.tobytes()
    assert len(fields.poisson_disk(Polygon(), spacing=1)) == 0
    with pytest.raises(InvalidValue, match="take"):
        fields.poisson_disk(box(0, 0, 1000, 1000), spacing=1e-3)


@published(
    module="fields",
    source="5 / (18 √3): mean squared distance to the middle of a regular hexagon of area one",
    kind=COMPUTED,
    printed=0.160375,
    claim="the energy of relaxed points comes near the hexagons' and not below",
)
def test_relaxing_lowers_the_energy(printed):
    """S. P. Lloyd: the mean squared distance to the nearest point never rises; the hexagonal bound
    is 5 / (18 √3) of a cell's area.
    """
    area = box(0, 0, 50, 50)
    probes = np.random.default_rng(1).uniform(0, 50, (100_000, 2))
    spots = np.random.default_rng(0).uniform(0, 50, (60, 2))
    energies = [
        np.mean(cKDTree(fields.lloyd(spots, area, rounds=k)).query(probes)[0] ** 2)
        for k in (0, 1, 2, 5, 20)
    ]
    assert all(later < earlier for earlier, later in pairwise(energies))
    assert printed * 2500 / 60 < energies[-1] < 1.12 * printed * 2500 / 60
    np.testing.assert_array_equal(fields.lloyd(spots, area, rounds=0), spots)


@pytest.mark.parametrize("budget", [1, 10_000])
@pytest.mark.parametrize("seed", range(3))
def test_equals_the_slow_one_however_often_it_pauses(seed, budget):
    area = Point(20, 20).buffer(18).difference(Point(14, 22).buffer(6))
    starts = np.random.default_rng(seed + 9).uniform(0, 40, (5, 2))
    state = kernel.sampling(2.5, 40.0, 40.0)
    random = np.random.default_rng(seed)
    while not kernel.spread(state, walls_of(area, 2.5), random, starts, 2.5, budget):
        pass
    slow = plain_poisson_disk(area, starts, 2.5, np.random.default_rng(seed))
    assert len(slow) > 80
    np.testing.assert_allclose(state.found[: state.counts[kernel.COUNT]], slow, atol=1e-9)
