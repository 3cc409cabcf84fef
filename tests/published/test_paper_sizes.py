"""Paper sizes against the tables of ISO 216:2007 (A, B) and ISO 269 (C); mm, exact.

The standards themselves were not read: the table is as an encyclopaedia prints it (which edition
was not written down). The A sizes are held against a second source that anybody can open, the table
``papersize`` of matplotlib's PostScript backend, in inches with two decimals.
"""

from __future__ import annotations

import importlib

import numpy as np
import pytest

from plotlib.sheet import Sheet
from tests.outside import LIBRARY, SECONDARY, Within, published

TABLE = """
A0 841 1189 | B0 1000 1414 | C0 917 1297 | A1 594 841 | B1 707 1000 | C1 648 917
A2 420 594 | B2 500 707 | C2 458 648 | A3 297 420 | B3 353 500 | C3 324 458
A4 210 297 | B4 250 353 | C4 229 324 | A5 148 210 | B5 176 250 | C5 162 229
A6 105 148 | B6 125 176 | C6 114 162 | A7 74 105 | B7 88 125 | C7 81 114
A8 52 74 | B8 62 88 | C8 57 81 | A9 37 52 | B9 44 62 | C9 40 57
A10 26 37 | B10 31 44 | C10 28 40
"""
ROWS = [row.split() for row in TABLE.replace("\n", "|").split("|") if row.strip()]


@published(
    module="sheet",
    source="its table papersize, in inches with two decimals",
    kind=LIBRARY,
    against="matplotlib",
    abs=0.005 * 25.4 + 1e-9,
)
def test_a_sizes_are_those_of_a_second_table(within: Within) -> None:
    inches = importlib.import_module("matplotlib.backends.backend_ps").papersize
    for number in range(11):
        sheet = Sheet.iso(f"A{number}", margin=1)
        printed = 25.4 * np.array(inches[f"a{number}"])
        assert np.abs(printed - (sheet.width, sheet.height)).max() <= within.abs


@published(
    module="sheet",
    source="ISO 216:2007 (A, B), ISO 269 (C) as an encyclopaedia prints them",
    kind=SECONDARY,
    column="width height",
    claim="ISO sizes, mm",
)
@pytest.mark.parametrize(("name", "width", "height"), ROWS)
def test_iso_sizes(name: str, width: str, height: str) -> None:
    sheet = Sheet.iso(name, margin=1)
    assert (sheet.width, sheet.height) == (int(width), int(height))
