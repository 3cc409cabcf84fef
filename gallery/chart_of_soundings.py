"""A chart of the waters round the Skerrow Isles, on a tall sheet with three pens (extra ``maps``).

Depth lines, hatched shoals and soundings with a clear space around each come from one seeded field.
Marks in the corners show whether the pens, each with a file of its own, lie where they belong.
"""

from pathlib import Path

import shapely

import plotlib as pl

OUT = Path(__file__).parent / "out"
SEED = 21
INK = pl.Pen("black", width=0.25, colour="#20242c", feed=2_500)
BLUE = pl.Pen("blue", width=0.25, colour="#22679c", feed=2_500)
OCHRE = pl.Pen("ochre", width=0.35, colour="#a56a1f", feed=2_500)
MACHINE = pl.Machine.load(OUT.parent / "bench.toml")
SHEET = pl.Sheet(200, 240, at=(10, 5), margin=6)
WATERS = (-8.2, 56.72, -7.72, 57.07)
MAP = pl.maps.Chart(WATERS, shapely.box(17, 14, 186, 226), projection="mercator")
TITLE = shapely.box(27, 196.5, 127, 219.5)
ROSE = shapely.Point(149, 49)
NAMES = (("Great Skerrow", 100, 124), ("Hollin", 124, 158), ("Wether", 35, 92))


def depth() -> pl.fields.ScalarField:
    """Metres below low water; land lies below zero."""
    noise = pl.fields.perlin(scale=60, seed=SEED, octaves=5)
    isles = pl.fields.ridge((70, 95), (120, 175), width=42) * 52
    return pl.fields.distance_to_point((85, 135)) * 0.42 + 18 - isles - noise * 62


def soundings(sea: shapely.Geometry, floor: pl.fields.ScalarField) -> pl.Drawing:
    """Depths in metres, with tenths small and low where it is shallow, as charts have them."""
    labels = []
    for x, y in pl.fields.poisson_disk(sea.buffer(-2.2), spacing=7.6, seed=SEED):
        metres, tenths = divmod(round(float(floor(x, y)) * 10), 10)
        text = f"{metres}" + (pl.text.subscript(f"{tenths}") if metres < 20 else "")
        labels.append(pl.text.lettering(text, height=1.7, at=(x, y), anchor="middle centre"))
    return pl.Drawing(labels)


def rose() -> pl.Drawing:
    """A compass rose: a tick for each five degrees, and a star with one half of each ray dark."""
    feet = [(5 * k, 21.0 if k % 6 else 19.4) for k in range(72)]
    parts = [pl.Drawing([[(foot, 0), (22.5, 0)]]).turned(turn) for turn, foot in feet]
    for turn, reach, arm in ((45, 12.0, 2.1), (0, 18.0, 2.6)):
        half = shapely.Polygon([(0, 0), (arm, arm), (0, reach)])
        ray = pl.Drawing([half.exterior, [(0, reach), (-arm, arm), (0, 0)]])
        ray += pl.fills.hatch(half, spacing=0.4)
        parts += [ray.turned(turn + 90 * k) for k in range(4)]
    parts.append(pl.text.lettering("N", height=4, at=(0, 25), anchor="bottom centre"))
    parts.append(pl.shapes.circles([(0, 0)] * 3, [19.0, 22.5, 23.3]))
    return pl.Drawing(parts).moved(ROSE.x, ROSE.y)


def words() -> pl.Drawing:
    """Title, scale bar and the names of the isles."""
    style = {"face": "italic complex", "anchor": "baseline centre"}
    names = [pl.text.lettering(one, height=3, at=(x, y), **style) for one, x, y in NAMES]
    head = pl.text.lettering("The Skerrow Isles", height=5.2, tracking=0.6, at=(77, 211.6), **style)
    low = {"height": 1.7, "tracking": 0.55, "at": (46.5, 206.2)}
    below = pl.text.lettering("SOUNDINGS IN METRES AT LOW WATER", **low)
    bar = MAP.scale_bar((48, 198.7), step=1, count=4, unit="nautical miles", height=1.7)
    return pl.Drawing([head, below, bar, *names])


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    floor = depth()
    land, shoal, shelf, *_ = pl.fields.bands(floor, MAP.frame, levels=[0, 5, 12])
    sea = MAP.frame.difference(land)
    clear = [line.buffer(1.1) for line in (words() + rose()).to_shapely()]
    clear = shapely.union_all([ROSE.buffer(24.5), TITLE, *clear])
    lines = pl.Drawing()
    for metres in (5, 12, 20, 30, 40, 60, 80):
        line = pl.fields.isolines(floor, sea.difference(clear), levels=[metres], pen=BLUE)
        lines += pl.text.labelled(line, f"{metres}", height=1.5, spacing=150, region=sea, pen=INK)
    told = lines.by_pen()[INK]
    taken = shapely.union_all([clear, *(line.buffer(1) for line in told.to_shapely())])
    black = soundings(sea.difference(taken.buffer(1.6)), floor) + words() + rose()
    halo = shapely.union_all([taken, *(line.buffer(0.75) for line in black.to_shapely())])
    tint = pl.fills.hatch(shoal, spacing=0.7) + pl.fills.hatch(shelf, spacing=1.4)
    ochre = pl.fields.isolines(floor, MAP.frame, levels=[*range(-96, -3, 6), -0.7, 0], pen=OCHRE)
    ink = (ochre + lines.by_pen()[BLUE] + tint.inked(BLUE)).erased(halo)
    black += pl.Drawing([MAP.frame.buffer(0.8, join_style="mitre").exterior, TITLE.exterior])
    black += MAP.graticule(0.1, height=1.9).erased(halo)
    return pl.tidying.without_specks(ink, 0.8) + told.inked(BLUE) + black.inked(INK)


if __name__ == "__main__":
    OUT.mkdir(exist_ok=True)
    marks = pl.shapes.registration_marks(SHEET, pens=(OCHRE, BLUE, INK), size=5)
    plot = pl.plan(chart() + marks, MACHINE, sheet=SHEET, pens="light first")
    pl.gcode.write_each(plot, OUT / "chart_of_soundings.gcode", title="The Skerrow Isles")
    pl.svg.write(plot, OUT / "chart_of_soundings.svg")
    pl.preview.png(plot, OUT / "chart_of_soundings.png", dpi=150)
    print(plot)
