"""A letter from the Skerrow Isles: a full page of handwriting on A5.

The letters of the script run into each other, so a whole word is often one stroke; a wobble of the
hand makes no two of them alike. Lines are justified by letters that give a little, so that no
gap between words is wide. The letterhead is gothic, drawn with a broad pen, over waves along which
the address is lettered.
"""

from __future__ import annotations

import numpy as np

import plotlib as pl

SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=15)
INK = pl.Pen("blue-black", width=0.35, colour="#1b2a49", feed=2_200)
BROAD = pl.Pen("broad", width=0.6, colour="#1b2a49", feed=2_000)
LEFT, BOTTOM, RIGHT, TOP = SHEET.area.bounds
MIDDLE = (LEFT + RIGHT) / 2
SCRIPT = {"face": "script simplex", "height": 3.1, "word_space": 1.5, "leading": 5.9}
SCRIPT |= {"pen": INK, "wobble": 0.05, "seed": 4}

BODY = """\
\u2003The boat that brings you this came over the bar at first light, between two squalls, and \
goes back with the ebb; so I write quickly, and the pen must do what my hand no longer can on so \
small a sheet.
\u2003We have had nine days of wind. On the sixth the old mark on the outer skerry went, with \
its ladder, and since then the lamp stands alone. Nobody was hurt. The terns did not mind at all: \
they sat in the lee of the boathouse in rows, like clerks, and shouted at the sea.
\u2003You asked about the moths. They came to the lamp on the first still evening, hundreds of \
them, the brown ones with the pale edge that we could not name last summer, and one as large as a \
playing card which I drew for you on the back of this page. I have labelled the rest; the drawer \
is nearly full.
\u2003The new chart is finished. It took the bench eleven hours and four pens, and when the last \
sounding was down we hung it in the ferry office, where it is now being corrected by everybody \
who has ever run aground. I count that as praise.
\u2003Come with the long days, when the half-tide boat runs twice and the causeway is dry until \
noon. Bring paper."""


def head() -> pl.Drawing:
    """The name of the house over waves, the address along the lowest."""
    style = {"face": "gothic english", "height": 10, "align": "centre", "pen": BROAD}
    name = pl.text.lettering("Lamp House", at=(MIDDLE, TOP - 8), **style)
    x = np.linspace(LEFT, RIGHT, 400)
    swell = np.column_stack([x, TOP - 14 + 0.9 * np.sin((x - LEFT) / (RIGHT - LEFT) * 6 * np.pi)])
    waves = pl.Drawing([swell, swell - (0, 0.9)], pen=INK)
    address = "Outer Skerry · by the half-tide boat · Skerrow Isles"
    style = {"offset": -4.2, "height": 2.1, "align": "centre", "tracking": 0.35, "pen": INK}
    return name + waves + pl.text.along(address, swell, **style)


def page() -> pl.Drawing:
    """The whole letter in sheet mm."""
    date = pl.text.lettering("the 9th of May", at=(RIGHT, TOP - 28), align="right", **SCRIPT)
    greeting = pl.text.lettering("Dear friend,", at=(LEFT, TOP - 36), **SCRIPT)
    block = {"wrap": RIGHT - LEFT, "align": "justified", "stretch": 0.05}
    body = pl.text.lettering(BODY, at=(LEFT, TOP - 45), **block, **SCRIPT)
    foot = body.bounds[1]
    close = pl.text.lettering("Yours, in a falling wind,", at=(MIDDLE - 4, foot - 6), **SCRIPT)
    style = {"face": "script complex", "height": 6, "pen": INK, "wobble": 0.04}
    keeper = pl.text.lettering("The Keeper", at=(MIDDLE + 8, foot - 16), **style)
    return pl.Drawing([head(), date, greeting, body, close, keeper])


if __name__ == "__main__":
    from finish import finish

    finish("letter_from_the_isles", page(), SHEET)
