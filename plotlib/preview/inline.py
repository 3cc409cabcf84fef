"""Drawings and plots in notebooks: a picture with a margin, or on its sheet, and a line that says
what it is. SVG up to a size, PNG above: no cell grows beyond what a page can bear.
"""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING, Any

import shapely

from plotlib.arrays.picture import Desk, svg_picture
from plotlib.checks import counted, package
from plotlib.colours import BED
from plotlib.drawing import Drawing
from plotlib.drawing.inline import Shown
from plotlib.planning.clock import clock
from plotlib.planning.frame import Frame, frame
from plotlib.planning.plot import Plot
from plotlib.planning.reporting.summary import way
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    from PIL.Image import Image

POINTS = 60_000  # of strokes, from which on a PNG is smaller and quicker than an SVG
_MARGIN = 0.04  # of the longer side of a Drawing, round it
_LONGEST = 1280.0  # px of a PNG, shown at half of it, so that it is sharp on fine screens
_FINEST = 16.0  # px for a mm at most
_BYTES = 1_400_000  # of a PNG; in a notebook it takes a third more, and 2 MB is the most
_CAPTION = 40  # px below a PNG
_INK = "#555555"
_COLOURS = 64  # of a PNG: inks on paper, and the steps between them


def svg(thing: Drawing | Plot) -> str | None:
    """A small drawing as an SVG element; None for one that a PNG shows better."""
    what = shown(thing)
    if is_large(what.drawing):
        return None
    return svg_of(what, told(thing))


def png(thing: Drawing | Plot) -> Shown:
    """A large drawing as a PNG, and the size at which it is shown; None for a small one."""
    what = shown(thing)
    if not is_large(what.drawing):
        return None
    return png_of(thing, None, _LONGEST, told(thing))


def svg_of(what: Frame, caption: str = "") -> str:
    """Strokes on a page as an SVG element."""
    drawing = what.drawing
    widths = [pen.width for pen in drawing.pens]
    colours = [pen.colour for pen in drawing.pens]
    strokes = (drawing.points, drawing.offsets, drawing.pen_index)
    desk = None
    if what.paper is not None:
        rings = shapely.get_rings(shapely.get_parts(what.paper))
        desk = Desk(BED, tuple(shapely.get_coordinates(ring) for ring in rings))
    return svg_picture(*strokes, widths, colours, page=what.page, desk=desk, caption=caption)


def png_of(
    thing: Drawing | Plot, sheet: Sheet | None, longest: float, caption: str = ""
) -> tuple[bytes, dict[str, Any]]:
    """A page as a PNG, at most so many px wide and high, and the size at which it is shown."""
    data = _encoded(thing, sheet, longest, caption)
    while len(data[0]) > _BYTES:
        longest = longest / 1.5
        data = _encoded(thing, sheet, longest, caption)
    return data


def is_large(drawing: Drawing) -> bool:
    """Whether a PNG is made of it: it has many points, and there is the package to make one."""
    return len(drawing.points) > POINTS and is_possible()


def is_possible() -> bool:
    """Whether there is the package to make a PNG."""
    return importlib.util.find_spec("PIL") is not None


def told(thing: Drawing | Plot) -> str:
    """The line below the picture."""
    drawing = thing.drawing if isinstance(thing, Plot) else thing
    if not len(drawing):
        return "nothing is drawn"
    left, bottom, right, top = drawing.bounds or (0.0, 0.0, 0.0, 0.0)
    pens = ", ".join(f"{pen.name} {pen.width:g}" for pen in drawing.pens)
    facts = [
        counted(len(drawing), "stroke"),
        f"{way(drawing.length)} of ink",
        f"{right - left:.1f} x {top - bottom:.1f} mm",
        f"{counted(len(drawing.pens), 'pen')}: {pens} mm",
    ]
    if isinstance(thing, Plot):
        facts.insert(0, clock(thing.duration))
    return " · ".join(facts)


def shown(thing: Drawing | Plot, sheet: Sheet | None = None) -> Frame:
    """The strokes, and what is shown round them: a sheet, or a margin."""
    what = frame(thing, sheet=sheet)
    if isinstance(thing, Plot) or sheet is not None:
        return what
    left, bottom, right, top = what.page
    margin = max(_MARGIN * max(what.size), 0.5)
    return replace(what, page=(left - margin, bottom - margin, right + margin, top + margin))


def _encoded(
    thing: Drawing | Plot, sheet: Sheet | None, longest: float, caption: str
) -> tuple[bytes, dict[str, Any]]:
    from plotlib.preview.picture import image

    what = shown(thing, sheet)
    dpi = 25.4 * min(longest / max(what.size), _FINEST)
    page = None if sheet is not None else shapely.box(*what.page)
    picture = image(thing, dpi=dpi, sheet=sheet, page=page)
    if caption:
        picture = _captioned(picture, caption)
    data = BytesIO()
    picture.quantize(_COLOURS).save(data, "PNG", optimize=True)
    size = {"width": picture.width // 2, "height": picture.height // 2}
    return data.getvalue(), size


def _captioned(picture: Image, text: str) -> Image:
    """The picture on a sheet that is wide enough for the line below it."""
    pillow = package("PIL.Image", install="pillow", use="a PNG picture")
    draw = package("PIL.ImageDraw", install="pillow", use="a PNG picture")
    font = package("PIL.ImageFont", install="pillow", use="a PNG picture").load_default(24)
    wide = max(picture.width, int(font.getlength(text)) + 24)
    whole: Image = pillow.new("RGB", (wide, picture.height + _CAPTION), picture.getpixel((0, 0)))
    whole.paste(picture, (0, 0))
    draw.Draw(whole).text((12, picture.height + 4), text, fill=_INK, font=font)
    return whole
