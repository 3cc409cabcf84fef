"""Separation into pens: areas of inks as published, and mixtures that look as they should."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from shapely import box

from plotlib import images
from plotlib.colours import colour_difference, lab_of_light
from plotlib.errors import InvalidValue
from plotlib.images.reading import decoded
from plotlib.images.separating import best_shares, mixture
from plotlib.pen import Pen
from tests.outside import SECONDARY, published

AREA = box(0, 0, 20, 20)
PENS = [
    Pen("blue", colour="#1d4e89"),
    Pen("red", colour="#c8452f"),
    Pen("black", colour="#202020"),
]
LIGHT = np.array(
    [decoded(np.array([int(p.colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255) for p in PENS]
)
WHITE = np.ones(3)


def neugebauer(shares, inks, paper, n):
    """The sum over all overlaps, with Demichel's areas."""
    total = np.zeros(3)
    for which in itertools.product([False, True], repeat=len(inks)):
        area = np.prod([c if on else 1 - c for c, on in zip(shares, which, strict=True)])
        light = paper * np.prod(
            [ink / paper for ink, on in zip(inks, which, strict=True) if on], axis=0
        )
        total += area * light ** (1 / n)
    return total**n


@published(
    module="images",
    source="M. E. Demichel, 1924, as a textbook has it",
    kind=SECONDARY,
    printed=0.42,
    rel=1e-6,
    claim="inks of .4 and .3 leave so much paper bare",
)
def test_areas_are_demichels(within, printed):
    # M. E. Demichel 1924 (from a textbook): inks of .4 and .3 leave .42 of the paper bare; black
    # inks then pass that much light
    light = mixture(np.array([[0.4, 0.3]]), np.zeros((2, 3)), WHITE, 1.0)
    assert light[0] == within.of(printed)


@pytest.mark.parametrize("n", [1.0, 2.0])
def test_mixtures_are_neugebauers_sum(n):
    random = np.random.default_rng(2)
    for shares in random.random((5, 3)):
        expected = neugebauer(shares, LIGHT, WHITE, n)
        assert mixture(shares[None], LIGHT, WHITE, n)[0] == pytest.approx(expected)


def test_mixtures_of_the_inks_are_found_again():
    random = np.random.default_rng(4)
    shares = random.random((200, 3)) * (0.9, 0.9, 0.5)
    light = mixture(shares, LIGHT, WHITE, 1.0)
    found = mixture(best_shares(light, LIGHT, WHITE, 1.0), LIGHT, WHITE, 1.0)
    error = colour_difference(lab_of_light(light), lab_of_light(found))
    assert np.median(error) < 0.5
    assert error.max() < 2.5


def test_no_mixture_on_a_fine_grid_is_much_better():
    wanted = decoded(np.random.default_rng(6).random((40, 3)))
    found = best_shares(wanted, LIGHT[:2], WHITE, 1.0)
    axis = np.linspace(0, 1, 101)
    fine = np.stack(np.meshgrid(axis, axis, indexing="ij"), axis=-1).reshape(-1, 2)
    grid = lab_of_light(mixture(fine, LIGHT[:2], WHITE, 1.0))
    lab = lab_of_light(wanted)
    mine = colour_difference(lab, lab_of_light(mixture(found, LIGHT[:2], WHITE, 1.0)))
    best = np.array([colour_difference(one, grid).min() for one in lab])
    assert (mine - best).max() < 0.5


def test_white_takes_no_ink_and_a_pens_own_colour_takes_it_alone():
    picture = np.vstack([[255, 255, 255], [0x1D, 0x4E, 0x89]]).astype(np.uint8)[None]
    for method in ("mixed", "nearest", "posterised"):
        tones = images.separated(picture, AREA, PENS, method=method)
        values = np.array([tone.values[0] for tone in tones.values()])
        assert values[:, 0] == pytest.approx([1, 1, 1], abs=0.02)
        assert values[:, 1] == pytest.approx([0, 1, 1], abs=0.12)


def test_hues_are_kept_by_posterising():
    picture = np.array([[[120, 150, 190], [220, 150, 140], [150, 150, 150]]], np.uint8)
    tones = images.separated(picture, AREA, PENS, method="posterised", levels=3)
    inked = np.array([tone.values[0] < 1 for tone in tones.values()])
    assert inked.tolist() == np.eye(3, dtype=bool).tolist()
    steps = {round(3 * value, 6) % 1 for tone in tones.values() for value in tone.values[0]}
    assert steps <= {0.0, 1.0}


def test_pens_must_differ():
    with pytest.raises(InvalidValue, match="pens"):
        images.separated(np.zeros((2, 2)), AREA, [PENS[0], PENS[0]])
    with pytest.raises(InvalidValue, match="pens"):
        images.separated(np.zeros((2, 2)), AREA, [])
