"""Edges are where they are, and closed where the form is."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from plotlib import images
from plotlib.errors import MissingPackage
from tests.images.pictures import photograph


def test_the_edge_of_a_disc_is_a_circle():
    y, x = np.mgrid[:200, :200] * 0.2
    away = np.hypot(x - 20, y - 20)
    disc = images.Tone(np.where(away < 12, 0.1, 0.9), (0, 0, 40, 40))
    outline = images.edges(disc)
    assert len(outline) == 1
    assert np.hypot(*(outline.points - 20.1).T) == pytest.approx(12, abs=0.35)
    assert outline.length == pytest.approx(2 * np.pi * 12, rel=0.06)


def test_a_grey_has_no_edge():
    assert len(images.edges(images.Tone([[0.5]], (0, 0, 30, 30)))) == 0


def test_finer_detail_gives_more_edges():
    tone = photograph("coins", 60.0)
    assert images.edges(tone, detail=0.4).length > images.edges(tone, detail=1.5).length > 100


def test_the_missing_package_is_named(monkeypatch):
    monkeypatch.setitem(sys.modules, "skimage.feature", None)
    with pytest.raises(MissingPackage, match="scikit-image"):
        images.edges(images.Tone([[0.5]], (0, 0, 30, 30)))
