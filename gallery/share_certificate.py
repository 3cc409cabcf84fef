"""A share certificate of the Skerrow Ferry Company, engine-turned so that nobody can copy it.

Each band of the border is one line that goes round many times and closes, for its lobes and lines
have no common divisor. Rosettes are such bands between wavy rings, the seal is an Apollonian
gasket, and the secretary has signed with a pen that wavers as a hand does.
"""

from __future__ import annotations

import numpy as np

import plotlib as pl

SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=7)
GREEN = pl.Pen("green", width=0.2, colour="#1d4f45", feed=3_000)
RUST = pl.Pen("rust", width=0.2, colour="#a5452a", feed=3_000)
HALF = np.array([98.0, 67.0])  # of the border, mm
NOTCH = 11.0  # radius of the hollow round a corner's rosette
PLATE = 9.0  # how far in from the corner its middle is
WAVES = ((0.4, 0.0), (0.5, 0.02), (0.7, 0.05), (0.84, 0.04), (0.96, 0.05))
FLOURISH = [(17, 1), (21, 4), (22, 1), (8, -3), (-19, -4), (-23, -2), (-8, -1.5), (21, -4.5)]


def frame(inset: float) -> np.ndarray:
    """A rectangle with hollow corners, of as many points at every inset."""
    away = NOTCH + inset
    start = -np.arccos((PLATE - inset) / away)
    turn = np.linspace(start, -1.5 * np.pi - start, 61)
    corner = HALF - PLATE + away * np.column_stack([np.cos(turn), np.sin(turn)])
    mirrored = corner[::-1] * (-1, 1)
    return np.concatenate([corner, mirrored, -corner, -mirrored, corner[:1]])


def band(inner: float, outer: float, lobes: int, lines: int, pen: pl.Pen) -> pl.Drawing:
    """Once round the sheet, mitred where the frame turns."""
    edges = {"inner": frame(inner), "outer": frame(outer), "pairing": "points"}
    return pl.curves.guilloche(**edges, lobes=lobes, lines=lines, pen=pen)


def ring(radius: float, wave: float = 0.0, waves: int = 12) -> pl.Drawing:
    """A circle with waves."""
    turn = 2 * np.pi * np.arange(721) / 720 * (np.arange(721) < 720)
    away = radius + wave * np.cos(waves * turn)
    return pl.Drawing([np.column_stack([away * np.cos(turn), away * np.sin(turn)])])


def rosette(size: float, waves: int, lines: int) -> pl.Drawing:
    """Three bands round a bare middle, the outer ones between waves."""
    edges = [ring(size * share, size * wave, waves) for share, wave in WAVES]
    turned = pl.curves.guilloche
    inner = turned(edges[0], edges[2], lobes=4 * waves + 1, lines=lines, pen=RUST)
    middle = turned(edges[1], edges[3], lobes=5 * waves, lines=lines // 2, pen=GREEN)
    outer = turned(edges[2], edges[4], lobes=6 * waves + 1, lines=lines, pen=GREEN)
    return inner + middle + outer


def seal(size: float) -> pl.Drawing:
    """A gasket in a toothed ring."""
    gasket = pl.fields.apollonian((0, 0), size, smallest=0.22, angle=90)
    edge = pl.curves.guilloche(
        ring(size + 0.7), ring(size + 3.4, 0.35, 24), lobes=97, lines=6, pen=RUST
    )
    return pl.fields.circles(gasket, pen=RUST) + ring(size).inked(RUST) + edge


def pearls() -> pl.Drawing:
    """What fills the gap between two large circles and a small one, drawn with the small one."""
    along = np.sqrt((36 + 2.4) ** 2 - 36**2)
    sides = [(along, 36, 36), (along, -36, 36), (0, 0, 2.4)]
    inside = pl.fields.apollonian_gap(sides, smallest=0.16)
    return pl.fields.circles([*inside, sides[2], (0, 0, 1.7)], pen=GREEN)


def signed(name: str, office: str, seed: int) -> pl.Drawing:
    """A name with its flourish, as a hand draws it, above a ruled line."""
    style = {"face": "script complex", "height": 5.4, "align": "centre", "pen": GREEN}
    drawn = pl.text.lettering(name, slant=8, **style) + pl.curves.catmull_rom(FLOURISH, pen=GREEN)
    drawn = drawn.by_hand(amplitude=0.3, wavelength=6, seed=seed)
    small = {"face": "roman simplex", "height": 1.7, "tracking": 0.4, "align": "centre"}
    rule = pl.Drawing([[(-22, -6.5), (22, -6.5)]], pen=RUST)
    return drawn + rule + pl.text.lettering(office, at=(0, -9.8), pen=RUST, **small)


def words() -> pl.Drawing:
    """What the certificate says."""
    said = (
        ("The Skerrow Ferry Company", 36.5, "gothic english", 6.7, GREEN),
        ("TERNHAVEN, SKERROW ISLES", 27.5, "roman duplex", 2.5, RUST),
        ("One Share", 10, "gothic english", 8.5, RUST),
        ("OF ONE THOUSAND", 2.5, "roman duplex", 2.5, GREEN),
        ("The bearer owns a thousandth part", -6.5, "script complex", 3.3, GREEN),
        ("of the boat, and of every crossing", -12.5, "script complex", 3.3, GREEN),
    )
    return pl.Drawing(
        [
            pl.text.lettering(text, at=(0, y), face=face, height=h, align="centre", pen=pen)
            for text, y, face, h, pen in said
        ]
    )


def certificate() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    parts = [pl.Drawing([frame(inset) for inset in (0, 0.7, 10.3, 11)], pen=GREEN)]
    parts.append(band(9.6, 1.4, 181, 11, GREEN))
    parts.append(band(8.0, 3.0, 181, 5, RUST))
    plate = rosette(PLATE - 0.2, 10, 7)
    parts += [plate.moved(x, y) for x, y in (HALF - PLATE) * [(1, 1), (-1, 1), (-1, -1), (1, -1)]]
    parts += [rosette(19, 16, 11).moved(x, 3) for x in (-60, 60)]
    number = {"face": "roman triplex", "height": 4.4, "align": "centre", "pen": RUST}
    parts += [pl.text.lettering("417", at=(x, 0.8), **number) for x in (-60, 60)]
    parts += [pearls().moved(34, 28.7), pearls().mirrored().moved(-34, 28.7)]
    parts += [signed("T. Mewholm", "SECRETARY", 3).moved(-46, -38)]
    parts += [signed("A. Tarnberg", "HARBOUR MASTER", 8).moved(46, -38)]
    parts += [seal(13).moved(0, -36), words()]
    left, bottom, right, top = SHEET.area.bounds
    return pl.Drawing(parts).moved((left + right) / 2, (bottom + top) / 2)


if __name__ == "__main__":
    from finish import finish

    finish("share_certificate", certificate(), SHEET)
