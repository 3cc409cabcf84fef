"""Compiled: error diffusion.

R. W. Floyd, L. Steinberg, *An Adaptive Algorithm for Spatial Grey Scale*, Proceedings of the
Society for Information Display 17, 1976, and its kin with other weights: pixel after pixel is made
full or empty, and what that is off by goes to neighbours that are still to come.

Before each step ``rest`` holds, for pixels to come, their number and what was passed on to them;
for pixels that are done, nothing is read again. With weights that sum to 1 nothing is lost but over
the edges. ``plain_diffusion`` in ``tests/oracles_images.py``, in exact fractions, tests it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray
from plotlib.compiled import compiled


@compiled
def diffuse(rest: FloatArray, weights: FloatArray, serpentine: bool) -> NDArray[np.bool_]:
    """Full pixels (rows, columns) of ``rest``, which is used up; row 0 first.

    ``weights`` (3, 5) are for this row and the next two, the pixel itself in the middle of the
    first; odd rows run from right to left with the weights mirrored when ``serpentine``.
    """
    rows, columns = rest.shape
    full = np.zeros((rows, columns), np.bool_)
    for row in range(rows):
        back = serpentine and row % 2 == 1
        sign = -1 if back else 1
        for k in range(columns):
            column = columns - 1 - k if back else k
            is_full = rest[row, column] >= 0.5
            full[row, column] = is_full
            error = rest[row, column] - (1.0 if is_full else 0.0)
            for down in range(min(3, rows - row)):
                for across in range(5):
                    weight = weights[down, across]
                    place = column + sign * (across - 2)
                    if weight != 0.0 and 0 <= place < columns:
                        rest[row + down, place] += error * weight
    return full
