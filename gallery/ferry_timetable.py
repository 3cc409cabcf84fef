"""The summer timetable of the Skerrow ferries: a lettered table on an A5 sheet with two pens.

Quays, distances and sailings come from a seed; outward boats leave with the tide and call at every
quay, and call again on the way home. Names carry accents of several alphabets, sailings carry the
raised marks of their notes, and all of it is drawn with single strokes of a fine pen.
"""

from __future__ import annotations

import numpy as np

import plotlib as pl

SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=12)
RNG = np.random.default_rng(7)
INK = pl.Pen("black", width=0.3, colour="#20242a", feed=2_500)
BLUE = pl.Pen("blue", width=0.3, colour="#1d4e89", feed=2_500)

LEFT, _, RIGHT, TOP = SHEET.area.bounds
MIDDLE = (LEFT + RIGHT) / 2
FIGURES = {"height": 2.5, "width": 0.92, "padding": 1.3, "row_height": 6.3}


def quays() -> list[str]:
    """Seven names, put together from syllables."""
    heads = ["Ør", "Fál", "Grün", "Mew", "Łun", "Sæl", "Tarn", "Vé", "Čor"]
    tails = ["voe", "holm", "skár", "garth", "ey", "berg", "wåg"]
    pairs = zip(RNG.permutation(heads), RNG.permutation(tails), strict=False)
    return ["Skerrow Quay", *(f"{head}{tail}" for head, tail in pairs)][:8]


def sailings(stops: list[str], count: int = 6) -> np.ndarray:
    """Minutes after midnight (stops, count): half-tide boats, with a lie-over at some quays."""
    legs = np.concatenate([[0], RNG.integers(12, 38, len(stops) - 1)])
    leave = 385 + np.arange(count) * 143 + RNG.integers(-9, 10, count)
    return np.cumsum(legs)[:, None] + leave


def board(stops: list[str], times: np.ndarray, top: float, title: str) -> pl.Drawing:
    """One direction: the heading, and the table as wide as the sheet's area. A mark stands with the
    one sailing that it is about.
    """
    calls = RNG.random(times.shape) > 0.14
    calls[[0, -1]] = True
    clock = [[f"{t // 60 % 24:02d}:{t % 60:02d}" for t in row] for row in times]
    cells = np.where(calls, clock, "·").astype(object)
    for mark, stop, boat in (("a", 2, 1), ("b", 3, 4), ("a", 5, 3), ("c", 0, times.shape[1] - 1)):
        if calls[stop, boat]:
            cells[stop, boat] += pl.text.superscript(mark)
    head = ["", *(f"{k}" for k in range(1, times.shape[1] + 1))]
    rows = [head, *([name, *row] for name, row in zip(stops, cells, strict=True))]
    widths = [RIGHT - LEFT - 15.4 * times.shape[1], *[15.4] * times.shape[1]]
    style = {"face": "italic complex", "height": 3.2, "pen": BLUE}
    heading = pl.text.lettering(title, at=(LEFT, top), **style)
    options = {"columns": ["left", *["left"] * times.shape[1]], "rules": "rows"}
    options |= {"rule_pen": BLUE, "head_pen": BLUE}
    return heading + pl.text.table(
        rows, at=(LEFT, top - 2.5), widths=widths, pen=INK, **FIGURES, **options
    )


def waves(y: float, rows: int = 3) -> pl.Drawing:
    """Rows of waves that die away towards the edges of the sheet."""
    x = np.linspace(LEFT, RIGHT, 500)
    swell = 0.6 * np.cos((x - MIDDLE) / (RIGHT - LEFT) * np.pi) ** 1.5
    lines = [y - 1.1 * k + swell * np.sin(x * 0.9 + k * 0.5) for k in range(rows)]
    return pl.Drawing([np.column_stack([x, line]) for line in lines], pen=BLUE)


def sheet() -> pl.Drawing:
    """The whole timetable in sheet mm."""
    stops = quays()
    out = sailings(stops)
    home = sailings(stops[::-1]) + 74
    style = {"align": "centre", "pen": INK}
    title = {"face": "roman triplex", "height": 6.5, "at": (MIDDLE, TOP - 6.5), **style}
    below = {"face": "italic complex", "height": 3.2, "at": (MIDDLE, TOP - 14), **style}
    parts = [pl.text.lettering("Skerrow Isles Ferries", **title)]
    parts += [pl.text.lettering("Summer sailings at half tide", **below), waves(TOP - 20.5)]
    parts += [board(stops, out, TOP - 33, "Outward")]
    parts += [board(stops[::-1], home, TOP - 103, "Homeward")]
    notes = "a  On request: show a lamp at the pier end.   b  From May to September.   "
    notes += "c  Not in gales of force 7 or more; "
    notes += "ask at the quay. Times are local; boats wait up to ¼ hour for the tide."
    for mark in "abc":
        notes = notes.replace(f"{mark}  ", pl.text.superscript(mark) + "\u2009", 1)
    style = {"wrap": RIGHT - LEFT, "align": "justified", "stretch": 0.05, "pen": INK}
    parts += [pl.text.lettering(notes, height=2, leading=3.8, at=(LEFT, TOP - 172), **style)]
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("ferry_timetable", sheet(), SHEET)
