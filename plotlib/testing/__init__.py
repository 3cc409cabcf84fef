"""For property tests of scripts that draw: strategies of random input, and assertions about what
came out. The strategies need the extra "testing" (hypothesis), the assertions nothing.

Begin with ``bed.py`` (never off the bed) and ``claims.py`` (the other assertions); strategies stand
in ``geometry.py``, ``devices.py``, ``sources.py`` and ``documents.py``.
"""

from __future__ import annotations

from plotlib.testing.bed import assert_on_bed
from plotlib.testing.claims import (
    assert_deterministic,
    assert_inside,
    assert_pen_gap,
    assert_plot_time_below,
    assert_same_ink,
)
from plotlib.testing.devices import machines, pens, sheets
from plotlib.testing.documents import gcode_programs, svg_documents
from plotlib.testing.geometry import drawings, points, regions, strokes
from plotlib.testing.sources import scalar_fields, seed_runs, seeds, texts, vector_fields

__all__ = [
    "assert_deterministic",
    "assert_inside",
    "assert_on_bed",
    "assert_pen_gap",
    "assert_plot_time_below",
    "assert_same_ink",
    "drawings",
    "gcode_programs",
    "machines",
    "pens",
    "points",
    "regions",
    "scalar_fields",
    "seed_runs",
    "seeds",
    "sheets",
    "strokes",
    "svg_documents",
    "texts",
    "vector_fields",
]


def __dir__() -> list[str]:
    return sorted(__all__)
