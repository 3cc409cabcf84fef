import sys

import numpy as np
import pytest

from plotlib import fields
from plotlib.errors import InvalidValue, MissingPackage
from tests.outside import LIBRARY, published


@published(
    module="fields",
    source="simplex noise of a package of its own, noise 1.2",
    kind=LIBRARY,
    against="noise",
    claim="simplex noise is the package's at a shifted origin",
)
def test_is_the_package_at_a_shifted_origin():
    noise = pytest.importorskip("noise")
    shift = np.random.default_rng(3).uniform(-1000, 1000, 2)
    field = fields.simplex(scale=10, seed=3, octaves=2)
    assert field(12, 34) == noise.snoise2(1.2 + shift[0], 3.4 + shift[1], 2, 0.5, 2.0)
    assert field(np.zeros((2, 3)), 1.0).shape == (2, 3)


def test_slopes_are_near_those_of_the_numbers():
    field = fields.simplex(scale=20, seed=1)
    x, y = np.random.default_rng(0).uniform(0, 100, (2, 300))
    along_x, _ = field.slopes(x, y)
    wide = (field(x + 1, y) - field(x - 1, y)) / 2
    assert np.abs(along_x - wide).mean() < 0.01


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"octaves": 17}, "octaves"),
        ({"octaves": 12, "lacunarity": 3}, "float32"),
        ({"persistence": 1.5}, "persistence"),
    ],
)
def test_refusals(options, words):
    with pytest.raises(InvalidValue, match=words):
        fields.simplex(scale=10, **options)


@pytest.mark.parametrize("x", [1e9, np.nan])
def test_refuses_places_beyond_float32(x):
    with pytest.raises(InvalidValue, match="simplex noise was asked beyond"):
        fields.simplex(scale=1)(x, 0)


def test_says_which_package_is_missing(monkeypatch):
    monkeypatch.setitem(sys.modules, "noise", None)
    with pytest.raises(MissingPackage, match="type: pip install noise"):
        fields.simplex(scale=10)
