"""The published weights of error diffusion, and the one call of its kernel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray

_ROWS = {
    "floyd-steinberg": (16, ((0, 0, 0, 7, 0), (0, 3, 5, 1, 0), (0, 0, 0, 0, 0))),
    "jarvis-judice-ninke": (48, ((0, 0, 0, 7, 5), (3, 5, 7, 5, 3), (1, 3, 5, 3, 1))),
    "stucki": (42, ((0, 0, 0, 8, 4), (2, 4, 8, 4, 2), (1, 2, 4, 2, 1))),
    "atkinson": (8, ((0, 0, 0, 1, 1), (0, 1, 1, 1, 0), (0, 0, 1, 0, 0))),
}
WEIGHTS: dict[str, FloatArray] = {
    name: np.array(rows, np.float64) / divisor for name, (divisor, rows) in _ROWS.items()
}


def diffused(
    values: FloatArray, *, kind: str = "floyd-steinberg", serpentine: bool = True
) -> NDArray[np.bool_]:
    """Which pixels (rows, columns) are full, so that their mean is that of ``values`` near by."""
    from plotlib.images.diffusion_kernel import diffuse

    return diffuse(np.array(values, np.float64), WEIGHTS[kind], serpentine)
