"""How the message of a failed assertion shows a drawing."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.drawing import Drawing

_MOST = 400  # characters of a path


def as_path(drawing: Drawing) -> str:
    """A drawing as the data of an SVG path, in mm, y up; cut off after 400 characters."""
    text = ""
    for number, stroke in enumerate(drawing):
        text += _moves(stroke)
        if len(text) > _MOST:
            kept = text[:_MOST].rsplit(" ", 1)[0]
            strokes = f"{number + 1} of {len(drawing)} strokes" if len(drawing) > 1 else "cut off"
            return f"{kept} … ({strokes})"
    return text.rstrip() or "nothing"


def shown(drawing: Drawing, stroke: int) -> str:
    """The whole drawing where that is short, else one stroke of it."""
    one = f"stroke {stroke} as an SVG path (mm, y up): {as_path(drawing[[stroke]])}"
    whole = as_path(drawing)
    if len(drawing) == 1 or "…" in whole:
        return one
    return f"the drawing as an SVG path (mm, y up): {whole}"


def at(place: FloatArray) -> str:
    """A place in mm."""
    x, y = np.asarray(place, float).tolist()
    return f"({x:.6g}, {y:.6g})"


def _moves(stroke: FloatArray) -> str:
    places = [f"{x:.6g} {y:.6g}" for x, y in stroke.tolist()]
    if len(places) == 1:
        return f"M{places[0]}h0 "
    return f"M{'L'.join(places)} "
