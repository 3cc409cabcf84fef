"""Drawings and plots in notebooks: a picture with a margin, or on its sheet, and a line that says
what it is. SVG up to a size, PNG above: no cell grows beyond what a page can bear.
"""

from __future__ import annotations

import importlib.util
from io import BytesIO
from typing import TYPE_CHECKING, Any

import shapely

from plotlib.arrays.picture import svg_picture
from plotlib.checks import counted, package
from plotlib.drawing import Bounds, Drawing
from plotlib.drawing.inline import Shown
from plotlib.planning.clock import clock
from plotlib.planning.frame import frame
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
    drawing, page = shown(thing)
    if is_large(drawing):
        return None
    return svg_of(drawing, page, told(thing))


def png(thing: Drawing | Plot) -> Shown:
    """A large drawing as a PNG, and the size at which it is shown; None for a small one."""
    drawing, page = shown(thing)
    if not is_large(drawing):
        return None
    return png_of(thing, page, _LONGEST, told(thing))


def svg_of(drawing: Drawing, page: Bounds, caption: str = "") -> str:
    """Strokes on a page as an SVG element."""
    widths = [pen.width for pen in drawing.pens]
    colours = [pen.colour for pen in drawing.pens]
    strokes = (drawing.points, drawing.offsets, drawing.pen_index)
    return svg_picture(*strokes, widths, colours, page=page, caption=caption)


def png_of(
    thing: Drawing | Plot, page: Bounds, longest: float, caption: str = ""
) -> tuple[bytes, dict[str, Any]]:
    """A page as a PNG, at most so many px wide and high, and the size at which it is shown."""
    data = _encoded(thing, page, longest, caption)
    while len(data[0]) > _BYTES:
        longest = longest / 1.5
        data = _encoded(thing, page, longest, caption)
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


def shown(thing: Drawing | Plot, sheet: Sheet | None = None) -> tuple[Drawing, Bounds]:
    """The strokes, and what is shown round them: a sheet, or a margin."""
    what = frame(thing, sheet=sheet)
    if isinstance(thing, Plot) or sheet is not None:
        return what.drawing, what.page
    left, bottom, right, top = what.page
    margin = max(_MARGIN * max(what.size), 0.5)
    return what.drawing, (left - margin, bottom - margin, right + margin, top + margin)


def _encoded(
    thing: Drawing | Plot, page: Bounds, longest: float, caption: str
) -> tuple[bytes, dict[str, Any]]:
    from plotlib.preview.picture import image

    side = max(page[2] - page[0], page[3] - page[1])
    dpi = 25.4 * min(longest / side, _FINEST)
    picture = image(thing, dpi=dpi, page=shapely.box(*page))
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
