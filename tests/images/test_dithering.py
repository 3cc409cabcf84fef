"""Dithering: masks as published, the blue-noise spectrum, and pixels as dots."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib import images
from plotlib.images.blue_noise import mask, ordered, tiled
from plotlib.images.dithering import METHODS
from tests.images.pictures import PEN, grey
from tests.outside import MEMORY, published


@published(
    module="images",
    source="B. E. Bayer, 1973",
    kind=MEMORY,
    printed=[[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]],
    claim="the ordered mask is Bayer's",
)
def test_the_ordered_mask_is_bayers(printed):
    # B. E. Bayer 1973: the matrix of order 4 (from memory; built from order 2 by his rule)
    assert (ordered(4) * 16 - 0.5 == np.array(printed)).all()
    quarter = np.full((4, 4), 0.25) > tiled(ordered(4), 4, 4)
    assert quarter.astype(int).tolist() == [[1, 0, 1, 0], [0] * 4, [1, 0, 1, 0], [0] * 4]


def test_a_mask_has_every_threshold_once():
    ranks = np.sort((mask() * mask().size - 0.5).ravel())
    assert ranks == pytest.approx(np.arange(mask().size), abs=1e-9)


@published(module="images", source="R. A. Ulichney, Proc. IEEE 76, 1988", kind=MEMORY)
@pytest.mark.parametrize("share", [0.1, 0.25, 0.5])
def test_the_spectrum_of_blue_noise_has_its_hole(share):
    # R. A. Ulichney, Dithering with blue noise (Proc. IEEE 76, 1988): hardly any power below the
    # principal frequency sqrt(g) a pixel, most of it near and above (from memory)
    pattern = (mask() < share).astype(float)
    power = np.abs(np.fft.fft2(pattern - pattern.mean())) ** 2 / pattern.size
    frequency = np.hypot(*np.meshgrid(*[np.fft.fftfreq(64)] * 2))
    principal = min(np.sqrt(share), 1 / np.sqrt(2))
    white = share * (1 - share)  # of pixels drawn by lot, at every frequency
    low = power[(frequency > 0) & (frequency < 0.4 * principal)].mean()
    high = power[frequency > 0.8 * min(principal, 0.5)].mean()
    assert low < 0.1 * white
    assert high > white


@pytest.mark.parametrize("method", METHODS)
def test_greys_are_met_by_every_method(method):
    for coverage in (0.2, 0.5, 0.8):
        tone = grey(coverage)
        drawing = images.dithered(tone, method=method, pen=PEN)
        assert abs(images.judge(drawing, tone).bias) <= 0.02


def test_dots_lie_in_the_middles_of_pixels():
    tone = images.Tone([[0.0]], (0, 0, 6, 4))
    drawing = images.dithered(tone, spacing=2.0, pen=PEN)
    places = [(1, 1), (3, 1), (5, 1), (5, 3), (3, 3), (1, 3)]
    assert drawing.points.tolist() == [list(place) for place in places]


def test_halftone_dots_stand_on_the_turned_screen():
    tone = images.Tone([[0.8]], (0, 0, 40, 40))
    screen = images.halftone(tone, spacing=4.0, angle=0.0, pen=PEN)
    centres = np.array([stroke.mean(axis=0) for stroke in screen])
    off = (centres - 20.0) / 4.0
    assert np.abs(off - np.rint(off)).max() < 0.2
    dark = images.halftone(images.Tone([[0.3]], (0, 0, 40, 40)), spacing=4.0, pen=PEN)
    assert dark.length > 2 * screen.length
