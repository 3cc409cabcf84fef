"""A page for the browser that replays a plot: one file that loads nothing from elsewhere."""

from __future__ import annotations

import html
import json
import re
from base64 import b64encode
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, string
from plotlib.colours import PAPER
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.planning.frame import frame
from plotlib.planning.plot import Plot
from plotlib.planning.reporting.summary import ink_of_pens
from plotlib.preview.ink import Layer
from plotlib.preview.light import light_of
from plotlib.preview.timeline import timeline
from plotlib.progress import stage

_GRID = 65535  # steps over the longer side: at most 0.02 mm on an A0 sheet
_DECIMALS = 4  # of outlines in mm: as true as a round sheet's
_LARGEST_INLINE = 2_000_000  # bytes of a notebook's cell


@dataclass(frozen=True)
class Page:
    """A page that replays a plot; a notebook shows it.

    Attributes
    ----------
    html : str
        The whole page.
    """

    html: str

    def __repr__(self) -> str:
        return f"<Page of {len(self.html.encode()):,} bytes>"

    def _repr_html_(self) -> str:
        size = len(self.html.encode())
        if size > _LARGEST_INLINE:
            return (
                f"<p>This page has {size / 1e6:.1f} MB, too much for a notebook: write it to a "
                'file by <code>preview.page(plot, "plot.html")</code> and open that.</p>'
            )
        page = html.escape(self.html)
        style = "width:100%;height:640px;border:0"
        return f'<iframe title="replay of a plot" style="{style}" srcdoc="{page}"></iframe>'


def page(
    plot: Plot,
    path: PathLike | None = None,
    *,
    title: str | None = None,
    paper: str = PAPER,
) -> Page:
    """A page that shows a plot on its sheet and replays it in its own time.

    The page is one HTML file that loads nothing from elsewhere. Its clock is the motion model's:
    travel, lifts, strokes and waits for the link take as long as in ``plot.times``; the time that
    the user takes to change pens is left out. Ink is mixed as in :func:`image`.

    Parameters
    ----------
    plot : Plot
        What to replay.
    path : str or path, optional
        Where to write the page, whole or not at all; without it the page is only returned, which a
        notebook shows.
    title : str, optional
        The heading; without it the name of the machine.
    paper : str, default "#fcfaf5"
        Colour of the paper, ``#rrggbb`` or ``#rgb``.

    Returns
    -------
    Page
        With its text in ``html``.

    Raises
    ------
    InvalidValue
        If ``plot`` is no Plot, ``path`` ends in another suffix than ``.html``, or another argument
        is invalid.
    NotWritten
        If the file cannot be written; one that stood there is as it was.

    Examples
    --------
    >>> from plotlib.machine import Axis, Machine, ServoLift
    >>> from plotlib.planning.plan import plan
    >>> axis = Axis(9_000, 500)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> machine = Machine(width=200, height=100, x=axis, y=axis, feed=3_000, lift=lift)
    >>> shown = page(plan(Drawing([[(10, 10), (90, 60)]]), machine), title="A line")
    >>> "<h1>A line</h1>" in shown.html
    True
    """
    if not isinstance(plot, Plot):
        raise _no_plot(plot)
    if path is not None:
        check_suffix(path, ".html", other="preview.png, svg.write or gcode.write")
    heading = plot.machine.name if title is None else string("title", title)
    light_of("paper", paper)
    with stage("making the page"):
        shown = Page(_document(plot, heading, paper))
    if path is not None:
        write_whole(path, shown.html.encode())
    return shown


def _no_plot(thing: object) -> InvalidValue:
    hint = ""
    if isinstance(thing, Drawing):
        hint = ": a drawing has no times yet; plan it first, page(plan(drawing, machine))"
    return InvalidValue(
        f"a Plot can be replayed, got {type(thing).__name__}{hint}", name="plot", value=thing
    )


def _document(plot: Plot, heading: str, paper: str) -> str:
    """The template with its parts filled in."""
    parts = {
        "TITLE": html.escape(heading),
        "STYLE": _file("replay.css"),
        "SCRIPT": "\n".join(_file(name) for name in ("replay_ink.js", "replay.js")),
        "FACTS": json.dumps(_facts(plot, heading, paper)).replace("<", "\\u003c"),
        **{name.upper(): _base64(array) for name, array in _arrays(plot).items()},
    }
    blank = re.compile(r"\[\[([A-Z]+)\]\]")
    return blank.sub(lambda found: parts[found[1]], _file("replay.html"))


def _file(name: str) -> str:
    return files("plotlib.preview").joinpath(name).read_text(encoding="utf-8")


def _base64(array: NDArray[Any]) -> str:
    """Little-endian bytes as text."""
    return b64encode(array.astype(array.dtype.newbyteorder("<")).tobytes()).decode("ascii")


def _arrays(plot: Plot) -> dict[str, NDArray[Any]]:
    """What the page draws, as arrays: points in steps of the grid, and when they are reached."""
    drawing = plot.drawing
    times = timeline(plot)
    step = _grid(plot)
    return {
        "points": _snapped(drawing.points, step),
        "shares": times.shares,
        "offsets": drawing.offsets.astype(np.uint32),
        "pens": drawing.pen_index.astype(np.uint16),
        "draws": times.draws.astype(np.float32),
        "ends": _snapped(plot.machine.to_mm(plot.legs.end), step),
        "leads": (plot.legs.stroke >= 0).astype(np.uint8),
        "leaves": times.leaves,
        "travels": times.travels.astype(np.float32),
    }


def _grid(plot: Plot) -> float:
    """The step in mm of the grid that points are put on; all of a plot lies on the bed."""
    return max(plot.machine.width, plot.machine.height) / _GRID


def _snapped(points: FloatArray, step: float) -> NDArray[np.uint16]:
    return np.clip(np.rint(points / step), 0, _GRID).astype(np.uint16)


def _facts(plot: Plot, heading: str, paper: str) -> dict[str, Any]:
    """What the page must know besides: the sheet, the pens, the totals."""
    times = plot.times
    shown = frame(plot)
    left, bottom, right, top = shown.page
    margin = plot.sheet.margin if plot.sheet is not None else 0.0
    is_shaped = shown.paper is not None and plot.sheet is not None
    return {
        "title": heading,
        "step": _grid(plot),
        "page": [left, bottom, right, top],
        "home": _snapped(np.array(plot.machine.home), _grid(plot)).tolist(),
        "settle": plot.machine.lift.seconds_down,
        "margin": margin,
        "outline": _outlines(shown.paper) if is_shaped else None,
        "inner": _outlines(plot.sheet.area_on_bed) if is_shaped and plot.sheet else None,
        "bed": [plot.machine.width, plot.machine.height],
        "sheet": plot.sheet is not None,
        "keepOuts": _rings(plot),
        "paper": paper,
        "pens": _pens(plot, paper),
        "duration": timeline(plot).duration,
        "totals": {
            "ink": plot.drawing.length,
            "travel": plot.travel,
            "strokes": len(plot.drawing),
            "changes": plot.changes,
            "drawing": times.drawing,
            "travelling": times.travel,
            "lifting": times.lifting,
            "waiting": times.waiting,
        },
        "notes": list(plot.warnings),
    }


def _rings(plot: Plot) -> list[list[list[float]]]:
    """The outlines of the machine's keep-outs in bed mm."""
    return [ring for item in plot.machine.keep_outs for ring in _outlines(item.area)]


def _outlines(area: Any) -> list[list[list[float]]]:
    """The rings of an area in mm, holes among them."""
    import shapely

    rings = shapely.get_rings(shapely.get_parts(area))
    return [shapely.get_coordinates(ring).round(_DECIMALS).tolist() for ring in rings]


def _pens(plot: Plot, paper: str) -> list[dict[str, Any]]:
    """Each pen with its ink, and with what one pass keeps of the light."""
    drawing = plot.drawing
    ground = light_of("paper", paper)
    strokes = np.bincount(drawing.pen_index, minlength=len(drawing.pens))
    inks = ink_of_pens(plot)
    result = []
    for number, pen in enumerate(drawing.pens):
        light = light_of("colour", pen.colour)
        layer = Layer(drawing.points, drawing.offsets, pen.width, light, pen.opacity)
        paint = light.tolist() if layer.is_paint(ground) else [0.0, 0.0, 0.0]
        result.append(
            {
                "name": pen.name,
                "width": pen.width,
                "colour": pen.colour,
                "kept": layer.kept(ground).tolist(),
                "paint": paint,
                "strokes": int(strokes[number]),
                "ink": float(inks[number]),
            }
        )
    return result
