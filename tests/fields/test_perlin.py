import numpy as np
import pytest

from plotlib import fields
from plotlib.errors import InvalidValue
from tests.oracles_fields import plain_perlin


@pytest.mark.parametrize("height", [0, 5, -3, 0.4, -7.9])
def test_equals_the_plain_program(height):
    x, y = np.random.default_rng(3).uniform(-300, 300, (2, 200))
    wanted = [plain_perlin(a, b, height) for a, b in zip(x, y, strict=True)]
    np.testing.assert_allclose(fields.perlin(scale=1, height=height)(x, y), wanted, atol=1e-12)


@pytest.mark.parametrize(("octaves", "lacunarity", "height"), [(1, 2, 0), (4, 2, 0), (3, 3, 0.3)])
def test_tiles(octaves, lacunarity, height):
    field = fields.perlin(
        scale=5, seed=3, octaves=octaves, lacunarity=lacunarity, height=height, tile=(35, 20)
    )
    x, y = np.random.default_rng(4).uniform(-100, 100, (2, 500))
    np.testing.assert_allclose(field(x + 35, y - 40), field(x, y), atol=1e-9)
    assert np.abs(field(x + 5, y) - field(x, y)).max() > 0.1


def test_octaves_add_weaker_and_finer_layers():
    x, y = np.random.default_rng(5).uniform(0, 500, (2, 100_000))
    one = fields.perlin(scale=10, seed=2)
    many = fields.perlin(scale=10, seed=2, octaves=5)
    assert np.abs(many(x, y)).max() < 2
    assert np.std(many(x, y) - one(x, y)) < 0.65 * np.std(one(x, y))
    assert np.mean(many.slopes(x, y)[0] ** 2) > 2.5 * np.mean(one.slopes(x, y)[0] ** 2)


def test_seeds():
    x, y = np.random.default_rng(6).uniform(0, 100, (2, 1000))
    same = [fields.perlin(scale=9, seed=5, octaves=3)(x, y).tobytes() for _ in range(2)]
    assert same[0] == same[1]
    assert same[0] != fields.perlin(scale=9, seed=6, octaves=3)(x, y).tobytes()
    drawn = [
        fields.perlin(scale=9, seed=np.random.default_rng(5))(x, y).tobytes() for _ in range(2)
    ]
    assert drawn[0] == drawn[1]


def test_blocks_of_rows_change_nothing():
    x = np.linspace(0, 90, 700)[None, :]
    y = np.linspace(0, 90, 300)[:, None]
    field = fields.perlin(scale=7, octaves=2)
    whole = field(x, y)
    np.testing.assert_array_equal(whole[123], field(x[0], y[123, 0]))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"scale": 0}, "scale must be greater than 0"),
        ({"scale": 5, "octaves": 17}, "octaves must be from 1 to 16"),
        ({"scale": 5, "persistence": 0}, "persistence must be from"),
        ({"scale": 5, "lacunarity": 0.5}, "lacunarity must be from"),
        ({"scale": 5, "tile": (12, 10)}, "10 x 10 mm is"),
        ({"scale": 5, "tile": (10, 10), "lacunarity": 1.7}, "whole lacunarity"),
    ],
)
def test_refusals(options, words):
    with pytest.raises(InvalidValue, match=words):
        fields.perlin(**options)


@pytest.mark.parametrize("place", [(np.nan, 0), (0, np.inf), (1e300, 0)])
def test_refuses_places_it_cannot_reach(place):
    with pytest.raises(InvalidValue, match="Perlin noise is asked for at"):
        fields.perlin(scale=5)(*place)
