"""A page from the engraver's book of the Skerrow Isles: one limpet, nine ways to make its tones.

The shell is a picture made by code, light from the upper left. Each way knows the pen's width, so
that the greys agree.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=13)
INK = pl.Pen("ink", width=0.25, colour="#2b2a33", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#2b2a33", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
SIDE = 55.0
DISC = shapely.Point(0, 0).buffer(27, quad_segs=64)
images = pl.images


def limpet() -> np.ndarray:
    """Relative luminance of a shell seen from above, and of its shadow: (n, n), 0 … 1."""
    y, x = np.mgrid[1:-1:220j, -1:1:220j]
    across = np.hypot(x / 0.86, y / 0.74)
    around = np.arctan2(y / 0.74, x / 0.86)
    ribs = 0.035 * np.cos(26 * around) * np.clip(across, 0.15, 1)
    rings = 0.02 * np.cos(24 * across)
    height = 0.75 * np.clip(1 - across, 0, 1) ** 0.8 + ribs + rings
    down, right = np.gradient(height, 2 / 219)
    normal = np.stack([-right, down, np.ones_like(x)])
    light = np.tensordot([-0.5, 0.55, 0.67], normal / np.linalg.norm(normal, axis=0), 1)
    shell = 0.12 + 0.83 * np.clip(light, 0, 1)
    shadow = np.hypot((x - 0.12) / 0.88, (y + 0.14) / 0.76)
    ground = 0.97 - 0.55 * np.clip((1.06 - shadow) / 0.12, 0, 1)
    return np.where(across + ribs < 0.97, shell, ground)


def ways() -> dict[str, pl.Drawing]:
    """Each in a square from the origin."""
    tone = images.Tone(limpet(), (0, 0, SIDE, SIDE))
    return {
        "cells": images.cells(tone, seed=2, pen=INK),
        "screen": images.halftone(tone, spacing=1.6, pen=INK),
        "blue noise": images.dithered(tone, method="blue-noise", spacing=0.2, pen=INK),
        "swinging lines": images.modulated_lines(tone, spacing=1.1, angle=20, pen=INK),
        "spiral": images.modulated_spiral(tone, spacing=1.1, pen=INK),
        "scribble": images.scribbled(tone, seed=4, pen=INK),
        "strokes": images.flow_strokes(tone, seed=1, pen=INK),
        "bands": images.tone_bands(tone, pen=INK),
        "edges": images.edges(tone, detail=0.5, pen=INK),
    }


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    parts = []
    for number, (name, drawn) in enumerate(ways().items()):
        x = left + (right - left) * (number % 3 + 0.5) / 3
        y = top - 61 - 79 * (number // 3)
        parts.append(drawn.moved(-SIDE / 2, -SIDE / 2).clipped(DISC).moved(x, y))
        parts.append(pl.shapes.circle((x, y), 27.6, pen=INK))
        label = {"height": 3, "align": "centre", "pen": RED}
        parts.append(pl.text.lettering(name, at=(x, y - 35), **label))
    style = {"face": "roman triplex", "height": 6.4, "align": "centre", "pen": TITLE}
    middle = ((left + right) / 2, top - 14)
    parts.append(pl.text.lettering("One Limpet, Nine Ways", at=middle, **style))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("tone_book", scene(), SHEET)
