"""A chart that comes as an SVG: the Skerrow Isles with filled land, a clipped sea, dashed ferries.

Each filled area becomes a fill, later shapes hide earlier ones, colours go to the nearest pens.
"""

from __future__ import annotations

import numpy as np

import plotlib as pl

RNG = np.random.default_rng(11)
INKS = {"blue": "#1d4e89", "ochre": "#a8641e", "black": "#20242a"}
PENS = [pl.Pen(name, width=0.28, colour=colour, feed=2_500) for name, colour in INKS.items()]
SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=9)
FILLS = {
    "#4f86b8": lambda sea: pl.fills.wave(sea, spacing=2.1, amplitude=0.35, wavelength=4.2),
    "#2f6aa3": lambda shallows: pl.fills.contour(shallows, spacing=1.5, rings=2),
    "#d9a05b": lambda land: pl.fills.hatch(land, spacing=2.0, angle=45),
    "#b5732b": lambda hill: pl.fills.hatch(hill, spacing=0.8, angle=45),
    "#20242a": lambda ink: pl.fills.solid(ink, pen=PENS[2]),
    "#ffffff": lambda channel: pl.Drawing(),
}
SEA, SHALLOWS, LAND, HILL, INK, CHANNEL = FILLS
STYLE = f"""path, rect, circle {{ fill: none }} .sea {{ fill: {SEA} }} .ink {{ fill: {INK} }}
 .shallows {{ fill: {SHALLOWS} }} .land {{ fill: {LAND}; stroke: {INK} }} .line {{ stroke: {INK} }}
 .hill {{ fill: {HILL}; stroke: {INKS["ochre"]} }}
 .ferry {{ stroke: {INK}; stroke-dasharray: 2 1.2 }} .channel {{ fill: {CHANNEL} }}
 text {{ fill: {INK}; font-size: 4.4px }} .title {{ font-size: 8.2px }}"""
ISLES = [(55, 55, 21, 3), (99, 85, 16, 2), (47, 101, 11, 1), (98, 41, 9, 1), (78, 113, 6, 0)]
FERRIES = [(70, 73, 74, 86, 81, 84), (53, 75, 42, 80, 46, 88), (98, 51, 108, 60, 97, 69)]


def coast(x: float, y: float, radius: float, rough: float = 0.3) -> str:
    """The data of a closed curve around a point, without corners."""
    angles = np.arange(18) * np.pi / 9
    far = 1 + rough * (RNG.random(18) - 0.5) + 0.15 * np.cos(2 * angles + RNG.random() * 6)
    points = np.column_stack([np.cos(angles), np.sin(angles)]) * far[:, None] * radius + (x, y)
    ends = (points + np.roll(points, -1, axis=0)) / 2
    turns = np.column_stack([np.roll(points, -1, axis=0), np.roll(ends, -1, axis=0)]).round(2)
    return f"M{ends[0][0]:.2f} {ends[0][1]:.2f}Q{' '.join(map(str, turns.ravel()))}Z"


def isle(x: float, y: float, radius: float, count: int) -> str:
    """An island in its shallows: hills inside each other."""
    land = coast(x, y, radius)
    larger = f"transform:scale({1 + 4.2 / radius});transform-origin:{x}px {y}px"
    hills = [
        (coast(x, y - radius / 9, radius * (0.6 - 0.2 * k), 0.15), "hill") for k in range(count)
    ]
    parts = [(land, f'shallows" style="{larger}'), (land, "land"), *hills]
    return "".join(f'<path d="{data}" class="{name}"/>' for data, name in parts)


def document() -> str:
    """The SVG, in mm on an A5 sheet."""
    ticks = [f'<use href="#tick" transform="rotate({a} 76 74)"/>' for a in range(0, 360, 5)]
    rose = [f'<use href="#ray" transform="rotate({a})"/>' for a in range(0, 360, 45)]
    keys = [
        f'<g transform="translate(151 {y})"><rect class="{name}" width="12" height="6" '
        f'style="stroke:{INK}"/><text x="16" y="4.5">{name}</text></g>'
        for name, y in (("sea", 91), ("land", 100), ("hill", 109))
    ]
    ferries = [  # each in a channel that keeps the waves off it
        f'<path class="channel" d="M{x} {y}Q{a - 2} {b - 2} {u} {v}Q{a + 2} {b + 2} {x} {y}Z"/>'
        f'<path class="ferry" d="M{x} {y}Q{a} {b} {u} {v}"/>'
        for x, y, a, b, u, v in FERRIES
    ]
    return f"""<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="148mm"
 viewBox="0 0 210 148"><style>{STYLE}</style><defs><path id="tick" class="line" d="M76 10v3"/>
 <g id="ray"><path class="line" d="M0-17 2.6-6H-2.6z"/><path class="ink" d="M0-17 2.6-6H0z"/></g>
 <clipPath id="window"><circle cx="76" cy="74" r="61"/></clipPath></defs>
 <g clip-path="url(#window)"><rect class="sea" width="140" height="148"/>
 {"".join(isle(*place) for place in ISLES)}{"".join(ferries)}</g>
 <circle class="line" cx="76" cy="74" r="61"/><circle class="line" cx="76" cy="74" r="64"/>
 {"".join(ticks)}
 <text class="title" x="171" y="30" text-anchor="middle">Skerrow<tspan x="171" dy="11"
 >Isles</tspan></text><g transform="translate(171 67)">{"".join(rose)}
 <circle class="line" r="4"/></g>
 {"".join(keys)}<path class="ferry" d="M151 122h12"/><text x="167" y="123.6">ferry</text></svg>"""


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    look = {"hide": True, "pens": PENS, "fonts": "italic complex", "strict": True}
    return pl.svg.read(document(), fills=lambda area, colour: FILLS[colour](area), **look).drawing


if __name__ == "__main__":
    from finish import finish

    finish("from_the_drawing_board", scene(), SHEET)
