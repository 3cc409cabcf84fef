import numpy as np
from shapely import box

from plotlib import fields
from plotlib.fields.flow_kernel import direction, directions
from plotlib.fields.flowgrid import direction_error, sampled_flow


def test_error_is_kept_and_measured():
    field = fields.perlin(scale=8, seed=3, octaves=2).curl()
    area = box(0, 0, 60, 40)
    made = sampled_flow(field, area, 0.2)
    probes = np.random.default_rng(9).uniform((0, 0), (60, 40), (20_000, 2))
    wanted = np.stack(field(*probes.T), axis=1)
    found = directions(made, probes)
    off = np.degrees(np.arccos(np.clip((found * wanted).sum(axis=1) / np.hypot(*wanted.T), -1, 1)))
    assert np.quantile(off, 0.99) < 0.7
    assert direction_error(made, probes, wanted) < 0.7


def test_no_finer_than_half_a_spacing():
    assert sampled_flow(fields.perlin(scale=2, octaves=5).curl(), box(0, 0, 60, 60), 4).cell_x >= 1


def test_critical_points_have_no_direction():
    still = sampled_flow(fields.flow(lambda x, y: (0 * x, 0 * y)), box(0, 0, 1, 1), 1)
    assert direction(still, 0.5, 0.5) == (0, 0, False)
