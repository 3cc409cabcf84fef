"""Colour differences: the printed pairs of G. Sharma, W. Wu and E. N. Dalal, The CIEDE2000
color-difference formula, Color Research and Application 30 (2005) 21-30, table 1, to their four
decimals; numbers from memory.
"""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.colours import colour_difference, lab_of
from tests.outside import MEMORY, Within, published

PAIRS = """
50 2.6772 -79.7751 50 0 -82.7485 2.0425
50 3.1571 -77.2803 50 0 -82.7485 2.8615
50 2.8361 -74.0200 50 0 -82.7485 3.4412
50 -1.3802 -84.2814 50 0 -82.7485 1.0000
50 -1.1848 -84.8006 50 0 -82.7485 1.0000
50 -0.9009 -85.5211 50 0 -82.7485 1.0000
50 0 0 50 -1 2 2.3669
50 -1 2 50 0 0 2.3669
50 2.49 -0.001 50 -2.49 0.0009 7.1792
50 2.49 -0.001 50 -2.49 0.0010 7.1792
50 2.49 -0.001 50 -2.49 0.0011 7.2195
50 2.49 -0.001 50 -2.49 0.0012 7.2195
50 -0.001 2.49 50 0.0009 -2.49 4.8045
50 -0.001 2.49 50 0.0010 -2.49 4.8045
50 -0.001 2.49 50 0.0011 -2.49 4.7461
50 2.5 0 50 0 -2.5 4.3065
50 2.5 0 73 25 -18 27.1492
50 2.5 0 61 -5 29 22.8977
50 2.5 0 56 -27 -3 31.9030
50 2.5 0 58 24 15 19.4535
50 2.5 0 50 3.1736 0.5854 1.0000
50 2.5 0 50 3.2972 0 1.0000
50 2.5 0 50 1.8634 0.5757 1.0000
50 2.5 0 50 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
ROWS = [tuple(map(float, line.split())) for line in PAIRS.strip().splitlines()]


@published(
    module="colours",
    source="G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30 (2005), table 1",
    kind=MEMORY,
    column="row",
    abs=5e-5,
    claim="CIEDE2000 of the printed pairs",
)
@pytest.mark.parametrize("row", ROWS, ids=range(1, len(ROWS) + 1))
def test_each_published_pair_and_the_other_way_round(
    row: tuple[float, ...], within: Within
) -> None:
    assert colour_difference(row[:3], row[3:6]) == within.of(row[6])
    assert colour_difference(row[3:6], row[:3]) == within.of(row[6])


def test_many_at_once() -> None:
    table = np.array(ROWS)
    both = colour_difference(table[:, :3], table[:, 3:6])
    np.testing.assert_allclose(both, table[:, 6], atol=5e-5)
    assert colour_difference(table[:, None, :3], table[None, :, 3:6]).shape == (34, 34)


@published(
    module="colours",
    source="tables of sRGB's primaries (D65)",
    kind=MEMORY,
    printed={
        "#ff0000": [53.24, 80.09, 67.20],
        "#00ff00": [87.74, -86.18, 83.18],
        "#0000ff": [32.30, 79.19, -107.86],
    },
    abs=0.02,
)
def test_primary_colours_in_cielab(within: Within, printed: dict[str, list[float]]) -> None:
    """CIELAB of sRGB's primaries (D65), as tables print them; values from memory."""
    for colour, lab in printed.items():
        assert lab_of(colour) == within.of(lab)
    assert lab_of("#808080") == pytest.approx([53.59, 0, 0], abs=0.01)
    assert lab_of("#000000") == pytest.approx([0, 0, 0], abs=1e-9)
