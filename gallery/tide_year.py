"""A year of tides at Skerrow Quay as a ring of 365 curves that hide each other, like the pages of a
book that stands open.

Each day is one curve from the middle (midnight) to the rim (midnight again), pushed aside by the
water's height; the days are drawn as a landscape of 365 rows and bent into the ring by a polar
map. High water comes fifty minutes later each day, so that it runs outwards in arms; springs
and neaps make them swell and fade every fortnight.
"""

from __future__ import annotations

import numpy as np

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
INK = pl.Pen("ink", width=0.25, colour="#173a4e", feed=3_000)
RED = pl.Pen("red", width=0.3, colour="#b8352a", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#173a4e", feed=2_500)
CENTRE = (105.0, 166.0)
DAYS = 365
INNER = 27.0
HOUR = 2.4  # mm of radius
MONTHS = "January February March April May June July August September October November December"
MONTHS = MONTHS.split()
"""The constituents of a tide that make springs, neaps and two unequal high waters a day: hours,
and metres that are our own."""
CONSTITUENTS = ((12.4206, 1.9), (12.0, 0.75), (12.6583, 0.38), (23.9345, 0.34), (25.8193, 0.26))


def level(hour: np.ndarray) -> np.ndarray:
    """Metres above the mean, at hours since New Year."""
    year = 24 * DAYS
    turns = [(2 * np.pi * round(year / time) / year, size) for time, size in CONSTITUENTS]
    return np.asarray(sum(size * np.cos(speed * hour) for speed, size in turns))


def rows() -> pl.Drawing:
    """The year as a landscape: x is the time of day in hours, y the day; the last days of the year
    before hide what they would, and go.
    """
    field = pl.fields.from_function(lambda x, y: level(24 * np.floor(y) + x))
    style = {"spacing": 1, "height": 1.9, "sky": 12, "step": 0.05, "tolerance": 0.003}
    before = pl.shapes.rectangle((0, -20), 24, 20 + 12)
    whole = pl.shapes.rectangle((0, -20), 24, 20 + DAYS + 12)
    gone = len(pl.fields.ridgelines(field, before, **style))
    return pl.fields.ridgelines(field, whole, **style)[gone:]


def ring(landscape: pl.Drawing) -> pl.Drawing:
    """Bent so that New Year stands on top and the days go round clockwise."""

    def polar(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        turn = np.pi / 2 - 2 * np.pi * y / DAYS
        far = INNER + HOUR * x
        return CENTRE[0] + far * np.cos(turn), CENTRE[1] + far * np.sin(turn)

    return landscape.mapped(polar, tolerance=0.01, step=0.25)


def frame() -> pl.Drawing:
    """Months around the ring, and what it is."""
    x, y = CENTRE
    far = INNER + 24 * HOUR
    parts = []
    for month, days in enumerate((0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)):
        turn = np.pi / 2 - 2 * np.pi * (days + 15) / DAYS
        is_low = np.sin(turn) < 0
        reach = far + (8 if is_low else 5)
        arc = turn + np.linspace(0.16, -0.16, 40) * (-1 if is_low else 1)
        curve = np.column_stack([x + reach * np.cos(arc), y + reach * np.sin(arc)])
        style = {"height": 2.8, "align": "centre", "pen": RED}
        parts.append(pl.text.along(MONTHS[month], curve, **style))
    style = {"align": "centre", "pen": INK}
    bold = {**style, "pen": TITLE, "at": (x, 48)}
    parts.append(pl.text.lettering("A Year of Tides", height=8, face="roman triplex", **bold))
    told = "Skerrow Quay · a day from the middle to the rim · a year round"
    parts.append(pl.text.lettering(told, height=2.6, at=(x, 38), **style))
    return pl.Drawing(parts)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    return ring(rows()).inked(INK).thinned(0.28, shortest=1) + frame()


if __name__ == "__main__":
    from finish import finish

    finish("tide_year", scene(), SHEET)
