"""Pictures into strokes: a tone over a rectangle in mm, the ink model that links it to what a pen
covers, makers that draw it, and a judge that simulates the print. Begin with ``reading`` and
``tone``; ``wanted`` is what every maker starts from, ``judging`` what each is measured by.
"""

from __future__ import annotations

from plotlib.images.banding import tone_bands
from plotlib.images.cellular import cells
from plotlib.images.dithering import dithered
from plotlib.images.flowing import flow_strokes
from plotlib.images.halftoning import halftone
from plotlib.images.hatching import tonal_hatch
from plotlib.images.ink import InkModel
from plotlib.images.judging import Judgement, judge
from plotlib.images.modulating import modulated_lines, modulated_spiral
from plotlib.images.outlining import edges
from plotlib.images.reading import read
from plotlib.images.scribbling import scribbled
from plotlib.images.separating import screen_angles, separated
from plotlib.images.single_line import single_line
from plotlib.images.stippling import stipple
from plotlib.images.tone import Tone

__all__ = [
    "InkModel",
    "Judgement",
    "Tone",
    "cells",
    "dithered",
    "edges",
    "flow_strokes",
    "halftone",
    "judge",
    "modulated_lines",
    "modulated_spiral",
    "read",
    "scribbled",
    "screen_angles",
    "separated",
    "single_line",
    "stipple",
    "tonal_hatch",
    "tone_bands",
]


def __dir__() -> list[str]:
    return sorted(__all__)
