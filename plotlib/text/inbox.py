"""Text in a box: wrapped to its width, as large as it fits when no height is given."""

from __future__ import annotations

from typing import Unpack

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.pen import Pen
from plotlib.text.letters import lettering
from plotlib.text.measuring import measure
from plotlib.text.setting.style import ALIGNMENTS, Options

_LEVELS = ("top", "middle", "bottom")


def boxed(
    text: str,
    region: RegionLike,
    *,
    height: float | None = None,
    align: str = "left",
    level: str = "top",
    margin: float = 0.0,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """Letter a text into a box, its lines wrapped to the width.

    Parameters
    ----------
    text : str
        The text; its own line ends stay.
    region : Drawing, Sheet, Polygon or MultiPolygon
        The box is the bounding box of this area.
    height : float, optional
        Height of the capitals in mm; without it the largest that fits, to 1 %. A ``leading`` in mm
        belongs to a given height.
    align : {"left", "centre", "right", "justified"}
        How lines stand in the box.
    level : {"top", "middle", "bottom"}
        Where the block stands, from cap height to last base line; accents and descenders stay in
        the box, too.
    margin : float, default 0
        Room in mm kept free inside the box on every side.
    pen, **options
        As ``lettering`` takes them.

    Returns
    -------
    Drawing
        Strokes in reading order.

    Raises
    ------
    OutsideEnvelope
        When the text does not fit at the given height: by how much.
    InvalidValue, UnknownName
        For a box without room, a word longer than the box is wide, or what ``lettering`` refuses.

    Examples
    --------
    >>> from plotlib.sheet import Sheet
    >>> card = Sheet(60, 40, margin=5)
    >>> note = boxed(
    ...     "Mind the step at low water.", card, height=5, align="centre", level="middle"
    ... )
    >>> left, bottom, right, top = note.bounds
    >>> left > 5, right < 55, round(top, 2)
    (True, True, 30.74)
    """
    checks.one_of("align", align, ALIGNMENTS)
    checks.one_of("level", level, _LEVELS)
    box = as_area(region).buffer(0).envelope
    room = checks.not_negative("margin", margin, unit="mm")
    left, bottom, right, top = box.bounds if not box.is_empty else (0.0, 0.0, 0.0, 0.0)
    left = left + room
    bottom = bottom + room
    right = right - room
    top = top - room
    if right <= left or top <= bottom:
        raise InvalidValue(
            f"the box leaves no room for text: {right - left:g} x {top - bottom:g} mm inside the "
            f"margin",
            name="region",
        )
    tall = (
        _largest(text, right - left, top - bottom, options)
        if height is None
        else checks.positive("height", height, unit="mm")
    )
    block, above, below = _refuse_deep(text, tall, right - left, top - bottom, options)
    side = {"centre": (left + right) / 2, "right": right}.get(align, left)
    head = {
        "top": top - above,
        "middle": (top + bottom + block) / 2,
        "bottom": bottom + below + block,
    }[level]
    head = max(min(head, top - above), bottom + below + block)
    return lettering(
        text,
        height=tall,
        at=(side, head),
        align=align,
        anchor="top",
        wrap=right - left,
        pen=pen,
        **options,
    )


def _depths(text: str, height: float, width: float, options: Options) -> tuple[float, float, float]:
    """Height of the block, and how far its ink goes above it and below it."""
    taken = measure(text, height=height, wrap=width, **options)
    _, bottom, _, top = taken.ink or (0.0, taken.baselines[-1][1], 0.0, 0.0)
    return taken.height, max(0.0, top - height), max(0.0, taken.baselines[-1][1] - bottom)


def _refuse_deep(
    text: str, height: float, width: float, deep: float, options: Options
) -> tuple[float, float, float]:
    depths = _depths(text, height, width, options)
    excess = sum(depths) - deep
    if excess > 1e-9 * deep:
        raise OutsideEnvelope(
            f"the text {text[:40]!r} is {sum(depths):.2f} mm deep at a height of {height:g} mm "
            f"and the box only {deep:.2f} mm; "
            f"it lacks {excess:.2f} mm: letter it smaller, leave the height out, or take a larger "
            f"box",
            stroke=0,
            side="bottom",
            excess=excess,
            count=1,
        )
    return depths


def _largest(text: str, width: float, deep: float, options: Options) -> float:
    """The largest height at which the text fits, to 1 %."""
    low = 0.0
    high = deep
    while high - low > 0.01 * low:
        middle = (low + high) / 2
        if middle < 1e-6 * deep:
            raise InvalidValue("the text does not fit into the box at any height", name="region")
        if _fits(text, middle, width, deep, options):
            low = middle
        else:
            high = middle
    return low


def _fits(text: str, height: float, width: float, deep: float, options: Options) -> bool:
    try:
        return sum(_depths(text, height, width, options)) <= deep
    except InvalidValue as error:
        if "excess" in error.facts:  # a word longer than the line
            return False
        raise
