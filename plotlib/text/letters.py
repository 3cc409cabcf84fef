"""Lettering: text as single strokes of the pen."""

from __future__ import annotations

import numpy as np

from plotlib import checks
from plotlib.arrays import affine
from plotlib.arrays.ragged import Ragged
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.text.setting.hand import unsteady
from plotlib.text.setting.layout import Layout, laid_out
from plotlib.text.setting.strokes import strokes_of
from plotlib.text.setting.style import Style, anchor_of, style_of
from plotlib.text.setting.within import refuse_outside


def lettering(
    text: str,
    *,
    height: float = 5.0,
    face: str = "roman simplex",
    at: tuple[float, float] = (0.0, 0.0),
    pen: Pen | None = None,
    slant: float = 0.0,
    width: float = 1.0,
    tracking: float = 0.0,
    word_space: float | None = None,
    leading: float | None = None,
    align: str = "left",
    anchor: str = "baseline",
    angle: float = 0.0,
    wrap: float | None = None,
    stretch: float = 0.0,
    missing: str | None = None,
    within: RegionLike | None = None,
    wobble: float = 0.0,
    seed: Seed = 0,
) -> Drawing:
    r"""Letter a text with single strokes.

    Parameters
    ----------
    text : str
        One line or several; accented letters, fractions, signs and the marks of ``superscript`` and
        ``subscript`` are understood. A tab is four spaces. Joiners and direction marks have no ink;
        text always runs from left to right.
    height : float, default 5
        Height of the capitals in mm, from base line to top, at the middle of the ink.
    face : str, default "roman simplex"
        One of ``faces()``.
    at : (float, float), default (0, 0)
        The point in mm where the anchor stands.
    pen : Pen, optional
        The pen; without it the default pen.
    slant : float, default 0
        Degrees by which upright strokes lean to the right, -60 to 60; 15 is the inclined lettering
        of ISO 3098.
    width : float, default 1
        Factor on the width of letters and their spaces.
    tracking : float, default 0
        Extra room in mm between neighbouring characters.
    word_space : float, optional
        Width of a space in mm, before lines are justified; the face's own (0.76 of the height)
        where it is not given.
    leading : float, optional
        From base line to base line in mm; 1.6 times the height where it is not given.
    align : {"left", "centre", "right", "justified"}
        How lines stand in the block. Justified needs ``wrap``: the ink of all lines but a
        paragraph's last then reaches from edge to edge, measured between base line and cap height.
    anchor : str, default "baseline"
        Which point of the block stands at ``at``: ``"baseline"`` (the first), ``"top"`` (cap height
        of the first line), ``"middle"``, ``"bottom"`` (the last base line), alone or with
        ``"left"``, ``"centre"``, ``"right"``: ``"top left"``. The side follows ``align`` where it
        is not given.
    angle : float, default 0
        Degrees counter-clockwise by which the block is turned about ``at``.
    wrap : float, optional
        Width in mm to which lines are broken; without it only line ends of the text break.
    stretch : float, default 0
        By what share of their width justified lines may widen or narrow their letters, 0 to 0.2,
        before their spaces give: 0.03 closes most wide gaps and is not seen.
    missing : str, optional
        A character drawn in the place of any that the face lacks; ``""`` leaves those out.
    within : Drawing, Sheet, Polygon or MultiPolygon, optional
        The area that the lettering may not leave.
    wobble : float, default 0
        How unsteady the hand is, as a share of the height, 0 to 0.5: letters are displaced a
        little, each differently, and stay joined; 0.05 looks written.
    seed : int or numpy Generator, default 0
        Where the wobble comes from.

    Returns
    -------
    Drawing
        Strokes in reading order; empty for a text without ink.

    Raises
    ------
    InvalidValue
        If a character is missing in the face (the message names its place), a word is longer than
        ``wrap``, or an option is invalid.
    UnknownName
        If the face, alignment or anchor is unknown.
    OutsideEnvelope
        If ink leaves ``within``: by how much, and on which side.

    Notes
    -----
    The strokes are A. V. Hershey's; see the acknowledgement beside the data.

    References
    ----------
    A. V. Hershey, *Calligraphy for Computers*, NWL Report 2101, 1967.

    Examples
    --------
    >>> lettering("Skerrow", height=5, at=(10, 20)).bounds
    (10.714285714285714, 20.0, 38.333333333333336, 25.0)
    >>> len(lettering("Á\nß", face="roman simplex"))
    4
    """
    style = style_of(
        height,
        face=face,
        slant=slant,
        width=width,
        tracking=tracking,
        word_space=word_space,
        leading=leading,
        missing=missing,
    )
    layout, matrix = block(
        text, style, at=at, align=align, anchor=anchor, angle=angle, wrap=wrap, stretch=stretch
    )
    hand = checks.between("wobble", wobble, 0.0, 0.5)
    points, offsets = strokes_of(layout, style)
    points = affine.apply(matrix, unsteady(points, style.height, hand, seed))
    drawing = Drawing.from_arrays(points, offsets, pen=pen)
    if within is not None:
        refuse_outside(drawing, within, text)
    return drawing


def block(
    text: str,
    style: Style,
    *,
    at: tuple[float, float],
    align: str,
    anchor: str,
    angle: float,
    wrap: float | None,
    stretch: float = 0.0,
) -> tuple[Layout, FloatArray]:
    """The layout of a block, and the map (2, 3) that puts it in its place."""
    level, side = anchor_of(anchor, align)
    limit = None if wrap is None else checks.positive("wrap", wrap, unit="mm")
    if align == "justified" and limit is None:
        raise InvalidValue("justified lines need a width: give wrap in mm", name="wrap")
    give = checks.between("stretch", stretch, 0.0, 0.2)
    give = give if align == "justified" else 0.0
    layout = laid_out(text, style, align=align, wrap=limit, stretch=give)
    depth = (len(layout.starts) - 1) * style.leading
    dx = {"left": 0.0, "centre": layout.width / 2, "right": layout.width}[side]
    dy = {
        "baseline": 0.0,
        "top": style.height,
        "middle": (style.height - depth) / 2,
        "bottom": -depth,
    }[level]
    turn = affine.turn(checks.finite("angle", angle, unit="degrees"))
    (x, y) = checks.point("at", at)
    return layout, np.column_stack([turn, np.array([x, y]) - turn @ np.array([dx, dy])])


def placed(layout: Layout, style: Style, matrix: FloatArray) -> Ragged:
    """The strokes of a block in their place."""
    points, offsets = strokes_of(layout, style)
    return affine.apply(matrix, points), offsets
