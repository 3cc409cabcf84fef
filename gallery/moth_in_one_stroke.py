"""The great lamp moth of Outer Skerry in one stroke: the pen comes down once, draws every scale of
both wings, the body and the night around them, and ends where it began.

Each part is an area with a spacing of its own, so that the markings are the tones of one line, and
between the parts a hair of paper stays bare. Each is filled by one closed line, and every line is
opened beside the next one and joined to it until there is only one.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=8)
INK = pl.Pen("night", width=0.3, colour="#1f2a3c", feed=2_000)
MIDDLE = np.array((105.0, 76.0))
SPAN = 84.0
SEAM = 0.45  # mm of paper between two parts
FORE = [(3, 18), (14, 30), (40, 47), (70, 60), (93, 65), (99, 58), (93, 46), (90, 30), (86, 14)]
FORE += [(76, 5), (52, 1), (28, 0), (3, 3)]
HIND = [(3, 4), (30, 2), (56, 3), (72, -3), (77, -16), (74, -29), (66, -36), (60, -46), (48, -50)]
HIND += [(36, -47), (26, -53), (16, -44), (8, -28), (3, -14)]
# Where the bands of a wing end, in shares of the span from its root, and the spacing of each.
FORE_BANDS = [(0.2, 0.48), (0.27, 0.9), (0.46, 0.6), (0.52, 1.05), (0.74, 0.8), (0.8, 0.45)]
FORE_BANDS += [(2, 0.66)]
HIND_BANDS = [(0.2, 0.55), (0.42, 0.8), (0.47, 0.5), (0.63, 1.0), (0.68, 0.5), (2, 0.68)]


def wavy(root: np.ndarray, far: float, waves: float) -> shapely.Polygon:
    """All that is nearer to the root of a wing than a wavy line."""
    angle = np.linspace(-np.pi, np.pi, 400)
    out = far * SPAN * (1 + 0.028 * np.sin(waves * angle) + 0.012 * np.sin(2.3 * waves * angle))
    return shapely.Polygon(root + out[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))


def wing(outline: list, bands: list, eye: np.ndarray, waves: float) -> tuple:
    """A wing to the right, and its bands and eye spot with their spacings."""
    rim = pl.curves.catmull_rom(np.array(outline) / 100 * SPAN, closed=True)
    shape = pl.regions.as_region(rim)
    root = np.array((0.04, 0.06)) * SPAN
    discs = [shapely.Point(eye[:2]).buffer(share * eye[2], 32) for share in (1.0, 0.72, 0.36)]
    found = [(discs[0] - discs[1], 0.5), (discs[1] - discs[2], 0.95), (discs[2], 0.45)]
    inner = shapely.Polygon()
    for far, spacing in bands:
        outer = wavy(root, far, waves)
        found.append(((shape & outer) - inner - discs[0], spacing))
        inner = outer
    return shape, found


def mirrored(area: shapely.Geometry) -> shapely.Geometry:
    """An area on the other side of the body."""
    return shapely.affinity.scale(area, -1, 1, origin=(0, 0))


def moth() -> tuple[shapely.Geometry, list]:
    """The whole moth's outline and its parts, in mm from its middle."""
    fore, fore_parts = wing(FORE, FORE_BANDS, SPAN * np.array((0.57, 0.31, 0.085)), 15)
    hind, hind_parts = wing(HIND, HIND_BANDS, SPAN * np.array((0.48, -0.21, 0.075)), 13)
    half = fore_parts + [(part - fore, gap) for part, gap in hind_parts]
    ovals = np.array([(0.06, 0.055, 0.14), (-0.17, 0.045, 0.23), (0.225, 0.038, 0.038)]) * SPAN
    drawn = [pl.shapes.ellipse((0, y), wide, high) for y, wide, high in ovals]
    trunk, abdomen, head = (pl.regions.as_region(oval) for oval in drawn)
    whole = shapely.union_all([trunk, abdomen, head])
    found = [(trunk, 0.5), (head - trunk, 0.42)]
    stripes = [shapely.box(-20, low, 20, low + 6.72) for low in np.arange(-5, 0) * 6.72]
    found += [(stripe & abdomen - trunk, (0.45, 0.7)[k % 2]) for k, stripe in enumerate(stripes)]
    half += [(mirrored(part), gap) for part, gap in half]
    found += [(part - whole, gap) for part, gap in half]
    way = np.array([(0.015, 0.24), (0.09, 0.4), (0.2, 0.52), (0.33, 0.58)]) * SPAN
    feeler = pl.regions.swept(pl.curves.catmull_rom(way), width=1.1)
    half_shape = shapely.union_all([fore, hind, feeler])
    return whole | half_shape | mirrored(half_shape), found


def opened(ring: np.ndarray, place: shapely.Point, gap: float) -> np.ndarray:
    """A closed line without the gap around a place, from its far side on."""
    twice = np.concatenate([ring, ring[1:]])
    far = np.append(0, np.cumsum(np.hypot(*np.diff(twice, axis=0).T)))
    middle = shapely.LineString(ring).project(place)
    ends = middle + gap / 2, middle + far[-1] / 2 - gap / 2
    places = np.sort(np.append(ends, far[(far > ends[0]) & (far < ends[1])]))
    return np.column_stack([np.interp(places, far, twice[:, axis]) for axis in (0, 1)])


def in_one(rings: list[np.ndarray]) -> np.ndarray:
    """Closed lines as one: always the one that is nearest to one that is joined already."""
    lines = np.array([shapely.LineString(ring) for ring in rings])
    line, far = rings[0], shapely.distance(lines, lines[0])
    nearest = np.where(np.arange(len(rings)) == 0, -1, 0)
    for _ in rings[1:]:
        k = int(np.argmin(np.where(nearest < 0, np.inf, far)))
        here, there = shapely.shortest_line(lines[nearest[k]], lines[k]).boundary.geoms
        one, other = opened(line, here, 0.5), opened(rings[k], there, 0.5)
        tries = [np.concatenate([one, other[::way], one[:1]]) for way in (1, -1)]
        line = next(x for x in tries if shapely.LineString(x).is_simple)
        nearest[k] = -1
        nearer = (shapely.distance(lines, lines[k]) < far) & (nearest >= 0)
        far = np.minimum(far, shapely.distance(lines, lines[k]))
        nearest[nearer] = k
    return line


def plate() -> pl.Drawing:
    """The moth and the night around it, in sheet mm."""
    outline, found = moth()
    night = shapely.affinity.translate(SHEET.area.buffer(-18).buffer(16, 32), *-MIDDLE)
    areas = [(part, 1.5) for part in shapely.get_parts(night - outline.buffer(SEAM + 0.25))]
    for area, gap in found:
        apart = shapely.get_parts(area.buffer(-SEAM / 2 - 0.5).buffer(0.5, 16))
        areas += [(part, gap) for part in apart if part.area > 6 * gap**2]
    rings = [r for area, gap in areas for r in pl.fills.one_stroke(area, spacing=gap, noses=False)]
    return pl.Drawing([in_one(rings)], pen=INK).moved(*MIDDLE)


if __name__ == "__main__":
    from finish import finish

    finish("moth_in_one_stroke", plate(), SHEET)
