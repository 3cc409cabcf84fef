"""Text: single-stroke lettering, measured before it is drawn."""

from __future__ import annotations

from plotlib.text.composed import lowered, raised
from plotlib.text.faces import faces
from plotlib.text.letters import lettering
from plotlib.text.measuring import Measure, measure

__all__ = ["Measure", "faces", "lettering", "lowered", "measure", "raised"]
