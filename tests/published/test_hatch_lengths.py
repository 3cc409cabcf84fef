"""Hatching against closed forms: chord sums, the integral rule |L - A/s| <= V/2, and the count of
rows.

Source: computed values. The chord sums follow from 2 sqrt(R^2 - h^2) (Euclid III.3); V is the total
variation of the chord length across the rows (for a convex area twice its longest chord), and the
bound is the classical one for the midpoint rule on functions of bounded variation. No handbook
prints these numbers.
"""

import math
from functools import partial

import numpy as np
import pytest
from shapely import Polygon, box

from plotlib import shapes
from plotlib.fills import hatch
from tests.outside import COMPUTED, published

known = partial(
    published,
    module="fills",
    source="sums of chords 2 sqrt(R^2 - h^2) (Euclid III.3)",
    kind=COMPUTED,
    column="length",
)


SHEET = box(0, 0, 100, 50)


def ngon(radius, corners=2000):
    angle = np.arange(corners) * (2 * math.pi / corners)
    return Polygon(radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def lifted(angle, rise):
    """An origin for which the rows lie at ``rise + k * spacing`` from (0, 0), for a spacing of
    twice ``rise`` and others.
    """
    turn = math.radians(angle)
    return (-math.sin(turn) * rise, math.cos(turn) * rise)


@known(source="chords of a rectangle", abs=5e-5, claim="hatching a rectangle of 100 by 50")
@pytest.mark.parametrize(
    ("spacing", "angle", "first", "rows", "length"),
    [(1, 0, 0.5, 50, 5000.0), (1, 45, 0.25, 106, 4999.7056), (2, 45, 0.3, 53, 2500.4581)],
)
def test_rectangle_of_100_by_50(spacing, angle, first, rows, length, within):
    drawing = hatch(SHEET, spacing=spacing, angle=angle, origin=lifted(angle, first - spacing / 2))
    assert len(drawing) == rows
    assert drawing.length == within.of(length)
    assert (
        abs(drawing.length - 5000 / spacing) <= 50 * math.sqrt(2)
        if angle
        else drawing.length == 5000
    )
    width = 50 if angle == 0 else 150 / math.sqrt(2)
    assert rows <= math.floor(width / spacing) + 1


@known(column="", printed=792.996956, abs=2e-3, claim="hatching a disc of radius 50 in rows of 10")
def test_disc_of_radius_50_in_rows_of_10(within, printed):
    chords = sum(4 * math.sqrt(50**2 - h**2) for h in (5, 15, 25, 35, 45))
    assert chords == pytest.approx(printed, abs=5e-7)
    drawing = hatch(shapes.circle((0, 0), 50, tolerance=1e-6), spacing=10)
    assert len(drawing) == 10
    assert drawing.length == within.of(printed)


@known(abs=0.01, claim="hatching a disc of radius 50 in finer rows")
@pytest.mark.parametrize(
    ("spacing", "rows", "length"), [(5, 20, 1576.20), (2, 50, 3930.42), (1, 100, 7856.40)]
)
def test_disc_of_radius_50_in_finer_rows(spacing, rows, length, within):
    drawing = hatch(ngon(50), spacing=spacing)
    assert len(drawing) == rows
    assert drawing.length == within.of(length)
    assert abs(drawing.length - math.pi * 2500 / spacing) <= 100
