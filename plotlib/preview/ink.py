"""How ink changes the light of the paper.

An ink is a filter. Each pass of a pen multiplies the light of each colour by ``1 - opacity * (1 -
c)``, where ``c`` is the share of the paper's light that the pen's colour is: one pass of opacity 1
on bare paper looks as the pen's colour says, and what lies twice is darker, whichever pens it was.
The order of the pens makes no difference, and a highlighter leaves dark ink below it dark.

An ink lighter than the paper, such as white on black, is a paint: each pass leaves ``1 - opacity``
of what lies below and adds its own colour.

The multiplication is the law of Lambert and Beer for a layer that only absorbs; real ink scatters a
little too, so that the second pass of a pale ink darkens somewhat less on paper than here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from plotlib.arrays.raster import light_lost
from plotlib.checks import FloatArray, IntArray
from plotlib.preview.light import Light

_RIM = 1  # pixels round a window that its edge pixels see too


@dataclass(frozen=True)
class Layer:
    """Strokes of one ink in pixels, y down.

    Attributes
    ----------
    points : ndarray (N, 2)
        In pixels.
    offsets : ndarray (M + 1,)
        Where each stroke begins, and the end.
    width : float
        In pixels.
    light : ndarray (3,)
        Linear light of the colour.
    opacity : float
        0 to 1.
    covers : bool
        Whether it is a paint in any case.
    """

    points: FloatArray
    offsets: IntArray
    width: float
    light: Light
    opacity: float
    covers: bool = False

    @cached_property
    def bounds(self) -> tuple[FloatArray, FloatArray]:
        """The least and the greatest x and y of the points."""
        x, y = self.points.T
        return np.array([x.min(), y.min()]), np.array([x.max(), y.max()])

    def is_paint(self, ground: Light) -> bool:
        """Whether the ink covers what lies below, as one that is lighter than the paper does."""
        return self.covers or bool(self.light.sum() > ground.sum())

    def kept(self, ground: Light) -> FloatArray:
        """What one pass keeps of the light of each colour (3,)."""
        share = np.zeros(3)
        if not self.is_paint(ground):
            share = np.minimum(self.light / np.maximum(ground, 1e-3), 1.0).astype(np.float64)
        return np.asarray(1.0 - self.opacity * (1.0 - share), np.float64)


def lay(light: Light, ground: Light, layer: Layer, top: int) -> None:
    """Lay ink on a band of the picture that begins at row ``top``, in place."""
    window = _window(layer, top, light.shape[0], light.shape[1])
    if window is None:
        return
    rows, columns = window
    corner = (columns.start - _RIM, top + rows.start - _RIM)
    shape = (rows.stop - rows.start + 2 * _RIM, columns.stop - columns.start + 2 * _RIM)
    lost = light_lost(
        layer.points - corner,
        layer.offsets,
        width=layer.width,
        shape=shape,
        kept=layer.kept(ground),
    )[_RIM:-_RIM, _RIM:-_RIM]
    below = light[rows, columns]
    below *= 1.0 - lost
    if layer.is_paint(ground):
        below += lost * layer.light


def _window(layer: Layer, top: int, height: int, width: int) -> tuple[slice, slice] | None:
    """The rows and columns of a band that the ink may touch."""
    if not len(layer.points):
        return None
    reach = layer.width / 2 + 2 * _RIM
    least, most = layer.bounds
    low = np.clip(np.floor(least - reach - (0, top)), 0, (width, height))
    high = np.clip(np.ceil(most + reach - (0, top)), 0, (width, height))
    if (high <= low).any():
        return None
    left, first = low.astype(int).tolist()
    right, last = high.astype(int).tolist()
    return slice(first, last), slice(left, right)
