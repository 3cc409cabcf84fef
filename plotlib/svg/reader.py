"""SVG files from elsewhere as drawings in millimetres."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from plotlib.arrays.flatten import TOLERANCE
from plotlib.checks import finite, flag, function, one_of, positive, whole
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotRead, SvgError
from plotlib.files import read_bytes
from plotlib.pen import Pen
from plotlib.progress import stage
from plotlib.svg.artwork import Artwork, Ink, SvgWarning
from plotlib.svg.reading.document import parsed
from plotlib.svg.reading.drawing_up import Options, drawn_up
from plotlib.svg.reading.lettering import Lettering, check_fonts
from plotlib.svg.reading.pens import called_with, check_pens
from plotlib.svg.reading.viewports import page_of
from plotlib.svg.reading.walking import Walk

BUDGET = 2_000_000  # points and elements
_MOST = 5_000_000  # more than these are flattened nowhere
_SHOWN = 5  # things named in a warning


def read(
    path_or_text: str | os.PathLike[str],
    *,
    size: tuple[float, float] | None = None,
    strokes: str | None = "centre",
    fills: str | Callable[[Any, str], Drawing] | None = None,
    hide: bool = False,
    pens: str | Iterable[Pen] | Callable[[Ink], Pen | None] | None = None,
    fonts: str | os.PathLike[str] | Mapping[str, str | os.PathLike[str]] | None = None,
    tolerance: float = TOLERANCE,
    budget: int = BUDGET,
    strict: bool = False,
) -> Artwork:
    r"""Read an SVG file in true size.

    Shapes and paths, groups, nested viewports, symbols, transforms, style sheets, clips and dashes
    are taken over as they are seen, text on request. Pictures, markers, gradients, patterns, masks
    and filters are not: each is listed in ``left_out``, and a warning says so. So is opacity below
    1, as pens draw in full ink. No other file is ever opened.

    Parameters
    ----------
    path_or_text : str or path
        The file, plain or packed by gzip; a str with a ``<`` in it is the text itself.
    size : (float, float), optional
        Width and height of the page in mm, in the place of what the file says of its size.
    strokes : {"centre", "outline"} or None
        Whether strokes are drawn as their centre line, as the outline of the line in its full
        width, or not at all.
    fills : None, "outline" or function, default None
        What filled areas become: nothing (``areas`` holds them), their outline, or what a function
        ``(area, colour)`` makes of them, such as
        ``lambda area, colour: plotlib.fills.hatch(area, spacing=1)``. Strokes on the default pen
        get the pen that is chosen for the area.
    hide : bool, default False
        Whether filled areas, and outlines of wide strokes, hide what lies under them.
    pens : None, "colour", "width", "group", Pens or function
        By None each colour and width has a pen of its own, and so has each group with a title that
        says a stroke and its width, as `write` makes them; by a word each colour, width or
        outermost group has one. Of several Pens the one is taken whose colour looks most
        like that in the file (CIEDE2000). A function is given an Ink and gives a Pen, or None for
        what is not to be drawn.
    fonts : file, name of a face, or mapping of families to them, optional
        What text is lettered with; without it text is left out. A font file gives filled outlines,
        one of ``plotlib.text.faces()`` single strokes in the colour of the fill. In a mapping the
        family ``""`` stands for all others.
    tolerance : float, default 0.02
        Greatest distance in mm between a curve and its polyline.
    budget : int, default 2,000,000
        Most points and elements together, where an element that ``use`` copies counts as ten; up to
        5,000,000. A file has 256 MiB at most.
    strict : bool, default False
        Whether anything that is left out is an error.

    Returns
    -------
    Artwork
        ``drawing`` in mm from the lower left corner of the page, y up; ``areas``; ``left_out``;
        ``size`` of the page. Ink that the page does not show is not cut away.

    Raises
    ------
    SvgError
        If the file is no SVG, is broken, says no size, or is beyond the budget; if ``strict`` and
        something is left out. ``error.line`` says where.
    NotRead
        If the file, or a font file, cannot be read.
    InvalidValue
        If an option is invalid, or a function gives something else.
    UnknownName
        If a word is none of those listed.
    MissingPackage
        If the file has style sheets and tinycss2 or cssselect2 is not installed; the extra "svg"
        brings them.

    Notes
    -----
    1 px is 25.4 / 96 mm. ``systemLanguage`` counts as
    English; fonts are not looked at for ``ex`` and ``ch`` (0.5 em). Zero-length subpaths are dots
    with round and square caps, and nothing without caps.

    References
    ----------
    W3C, *Scalable Vector Graphics (SVG) 2*.

    Examples
    --------
    >>> art = read('<svg width="40mm" height="30mm"><path d="M0 0h10" stroke="navy"/></svg>')
    >>> art.drawing[0].tolist(), art.drawing.pens[0].colour, art.size
    ([[0.0, 30.0], [2.6458333333333335, 30.0]], '#000080', (40.0, 30.0))
    """
    options = Options(
        strokes=None if strokes is None else one_of("strokes", strokes, ("centre", "outline")),
        fills=_fills(fills),
        hide=flag("hide", hide),
        pens=check_pens(pens),
        tolerance=positive("tolerance", tolerance, unit="mm"),
    )
    page_size = _size(size)
    faces = check_fonts(fonts)
    lettering = None if faces is None else Lettering(faces, options.tolerance)
    most = whole("budget", budget, low=1, high=_MOST)
    is_strict = flag("strict", strict)
    data, encoding = _source(path_or_text)
    with stage("reading an SVG") as work:
        document = parsed(data, encoding, most, work)
        del data
        page = page_of(document.root, page_size)
        walk = Walk(document, page, most, options.tolerance, lettering)
        marks = list(walk.marks())
        art = drawn_up(walk, marks, options, work)
    _tell(art, is_strict, are_areas_drawn=options.fills is not None)
    return art


def _fills(fills: Any) -> Any:
    if fills is None:
        return None
    if isinstance(fills, str):
        return one_of("fills", fills, ("outline",))
    return called_with("fills", function("fills", fills), 2, "(area, colour)")


def _size(size: Any) -> tuple[float, float] | None:
    if size is None:
        return None
    if not isinstance(size, (tuple, list)) or len(size) != 2:
        raise InvalidValue(
            f"size must be (width, height) in mm, got {size!r:.100}", name="size", value=size
        )
    width, height = (finite("size", side, unit="mm") for side in size)
    if min(width, height) <= 0:
        raise InvalidValue(f"size must be greater than 0 mm, got {size!r}", name="size", value=size)
    return width, height


def _source(path_or_text: Any) -> tuple[bytes, str | None]:
    """The bytes of the file or text, and their encoding where it is known."""
    if isinstance(path_or_text, str) and "<" in path_or_text:
        return path_or_text.encode("utf-8", "replace"), "utf-8"
    try:
        return read_bytes(path_or_text, "SVG"), None
    except (InvalidValue, NotRead) as error:
        if isinstance(path_or_text, os.PathLike):
            raise
        kind = type(error)
        raise kind(f"{error}; a path_or_text that is text must hold a <", **error.facts) from error


def _tell(art: Artwork, strict: bool, *, are_areas_drawn: bool) -> None:
    """Warn of what was left out, or raise it."""
    listed = [str(item) for item in art.left_out[:_SHOWN]]
    more = len(art.left_out) - len(listed)
    if more > 0:
        listed.append(f"and {more:,} more, see left_out")
    if listed and strict:
        first = art.left_out[0]
        raise SvgError(
            f"not all of the SVG can be taken over: {'; '.join(listed)}",
            line=first.line,
            left_out=art.left_out,
        )
    if listed:
        text = f"not all of the SVG was taken over: {'; '.join(listed)}"
        warnings.warn(text, SvgWarning, stacklevel=3)
    elif not len(art.drawing) and art._fills and not are_areas_drawn:
        warnings.warn(
            f"nothing is stroked in the SVG: its {len(art._fills):,} filled shapes are in areas, "
            f'or drawn by fills="outline" or fills=a function',
            SvgWarning,
            stacklevel=3,
        )
