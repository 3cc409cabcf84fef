"""Pictures and greys that the tests of makers share.

The photographs ship with scikit-image, whose documentation says of each: chelsea (a cat) and coffee
(a cup): no copyright restrictions, CC0 by the photographer; coins: no known copyright restrictions.
"""

from __future__ import annotations

import numpy as np
from shapely import box

from plotlib import images
from plotlib.pen import Pen

PEN = Pen("black", width=0.5)
NAMES = ("chelsea", "coffee", "coins")
GREYS = (0.1, 0.3, 0.5, 0.7, 0.9)  # covered shares


def photograph(name, side=100.0):
    """One of NAMES in a square of so many mm."""
    import skimage.data

    return images.read(getattr(skimage.data, name)(), box(0, 0, side, side))


def grey(coverage, side=40.0):
    """A tone of which the plain ink model covers a share."""
    return images.Tone([[1.0 - coverage]], (0, 0, side, side))


def ramp(side=60.0, columns=60):
    """White on the left to black on the right."""
    return images.Tone(np.linspace(1.0, 0.0, columns)[None, :], (0, 0, side, side / 2))


def steps_of(drawing, tone, count=10):
    """Mean covered shares of so many columns of a tone's rectangle."""
    from plotlib.images.printing import printed

    return printed(drawing, tone.extent, count, count).mean(axis=0)
