"""Tables: cells of text in aligned columns, with rules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Unpack

import numpy as np

from plotlib import checks
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.text.letters import lettering
from plotlib.text.measuring import measure
from plotlib.text.setting.style import Options

_COLUMNS = ("left", "centre", "right", "point")
_RULES = ("grid", "rows", "head", "none")


def table(
    rows: Sequence[Sequence[str]],
    *,
    at: tuple[float, float] = (0.0, 0.0),
    height: float = 3.5,
    columns: Sequence[str] | None = None,
    widths: Sequence[float | None] | None = None,
    row_height: float | None = None,
    padding: float | None = None,
    head: int = 1,
    rules: str = "grid",
    pen: Pen | None = None,
    rule_pen: Pen | None = None,
    head_pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """A table of text with its upper left corner at a point.

    Parameters
    ----------
    rows : sequence of sequences of str
        The cells, all rows of the same number; one line each.
    at : (float, float), default (0, 0)
        Upper left corner in mm.
    height : float, default 3.5
        Height of the capitals in mm.
    columns : sequence of {"left", "centre", "right", "point"}, optional
        How each column stands; ``"point"`` puts the decimal points under each other. Left where it
        is not given.
    widths : sequence of float or None, optional
        Width of each column in mm; None: as wide as its widest cell needs.
    row_height : float, optional
        In mm; 2.2 times the height where it is not given.
    padding : float, optional
        Room in mm beside the text in each cell; the height of the capitals where it is not given.
    head : int, default 1
        How many rows are headings: centred, drawn with ``head_pen``, ruled off.
    rules : {"grid", "rows", "head", "none"}
        All lines; the horizontal ones; those above and below the headings and at the foot; none.
    pen, rule_pen, head_pen : Pen, optional
        For the text, the rules (as the text), the headings (as the text).
    **options
        ``face`` and the like, as ``lettering`` takes them.

    Returns
    -------
    Drawing
        The rules, each one stroke, then the text row by row.

    Raises
    ------
    InvalidValue, UnknownName
        For rows of different lengths, or a cell wider than its column.

    Examples
    --------
    >>> len(table([["Quay", "Depth"], ["Inner", "2.5"]], columns=["left", "point"], rules="none"))
    27
    """
    checks.positive("height", height, unit="mm")
    for name, given in (("pen", pen), ("rule_pen", rule_pen), ("head_pen", head_pen)):
        as_pen(given, name)
    cells = _cells(rows)
    kinds = _kinds(columns, len(cells[0]))
    checks.one_of("rules", rules, _RULES)
    room = height if padding is None else checks.not_negative("padding", padding, unit="mm")
    tall = checks.positive(
        "row_height", 2.2 * height if row_height is None else row_height, unit="mm"
    )
    top = checks.whole("head", head, low=0, high=len(cells))
    needs = np.array(
        [[measure(cell, height=height, **options).advance for cell in row] for row in cells]
    )
    points = _points(cells, kinds, top, height, options)
    edges = np.concatenate(
        [[0.0], np.cumsum(_widths(widths, needs, _figures(points, needs, top), kinds, room, cells))]
    )
    figures = _figures(points, needs, top)
    parts = (
        [Drawing(_rules(edges, tall, len(cells), top, rules), pen=rule_pen or pen)]
        if rules != "none"
        else []
    )
    for r, row in enumerate(cells):
        y = -(r + 0.5) * tall
        ink = head_pen or pen if r < top else pen
        for c, cell in enumerate(row):
            kind = "centre" if r < top else kinds[c]
            x = _place(kind, edges[c], edges[c + 1], room, points[r][c], figures[c])
            side = "left" if kind == "point" else kind
            parts.append(
                lettering(
                    cell, height=height, at=(x, y), align=side, anchor="middle", pen=ink, **options
                )
            )
    return Drawing(parts).moved(*checks.point("at", at)) if parts else Drawing()


def _cells(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    cells = [
        [str(cell) for cell in checks.several("rows", row, "rows of cells")]
        for row in checks.several("rows", rows, "rows of cells")
    ]
    if not cells or not cells[0]:
        raise InvalidValue("a table needs at least one row with one cell", name="rows")
    for number, row in enumerate(cells):
        if len(row) != len(cells[0]):
            raise InvalidValue(
                f"row {number} of the table has {len(row)} cells, the first {len(cells[0])}",
                name="rows",
                row=number,
            )
        for cell in row:
            if "\n" in cell:
                raise InvalidValue(
                    f"row {number} of the table has a cell of several lines: {cell!r}",
                    name="rows",
                    row=number,
                )
    return cells


def _kinds(columns: Sequence[str] | None, count: int) -> list[str]:
    kinds = (
        ["left"] * count
        if columns is None
        else [
            checks.one_of("columns", kind, _COLUMNS)
            for kind in checks.several("columns", columns, "words")
        ]
    )
    if len(kinds) != count:
        raise InvalidValue(
            f"the table has {count} columns, {len(kinds)} alignments were given", name="columns"
        )
    return kinds


def _points(
    cells: list[list[str]], kinds: list[str], head: int, height: float, options: Options
) -> list[list[float]]:
    """How far the decimal point (or the end of the figures) stands from the beginning of each
    cell.
    """

    def before(cell: str) -> float:
        return measure(cell.split(".")[0], height=height, **options).advance

    return [
        [before(cell) if kinds[c] == "point" and r >= head else 0.0 for c, cell in enumerate(row)]
        for r, row in enumerate(cells)
    ]


def _widths(
    widths: Sequence[float | None] | None,
    needs: checks.FloatArray,
    figures: list[tuple[float, float]],
    kinds: list[str],
    room: float,
    cells: list[list[str]],
) -> list[float]:
    count = needs.shape[1]
    given = [None] * count if widths is None else _given(widths)
    if len(given) != count:
        raise InvalidValue(
            f"the table has {count} columns, {len(given)} widths were given", name="widths"
        )
    wide = np.array([figure[1] for figure in figures]) * (np.array(kinds) == "point")
    whole = np.maximum(needs.max(axis=0), wide)
    result = []
    for c, width in enumerate(given):
        need = float(whole[c]) + 2 * room
        if width is not None and width < need - 1e-9:
            longest = cells[int(np.argmax(needs[:, c]))][c]
            raise InvalidValue(
                f"column {c} is {width:g} mm wide and needs {need:.2f} mm for {longest!r} with "
                f"its padding; "
                "widen it, lower the padding or letter smaller",
                name="widths",
                column=c,
                excess=need - width,
            )
        result.append(need if width is None else float(width))
    return result


def _given(widths: Sequence[float | None]) -> list[float | None]:
    return [
        None if width is None else checks.positive("widths", width, unit="mm")
        for width in checks.several("widths", widths, "numbers or None")
    ]


def _figures(
    points: list[list[float]], needs: checks.FloatArray, head: int
) -> list[tuple[float, float]]:
    """Of each column: how far the decimal points stand from the left of the figures, and how wide
    all figures are together.
    """
    before = np.array(points)[head:]
    after = (needs - np.array(points))[head:]
    most = before.max(axis=0, initial=0.0)
    return list(zip(most.tolist(), (most + after.max(axis=0, initial=0.0)).tolist(), strict=True))


def _place(
    kind: str, left: float, right: float, room: float, point: float, figures: tuple[float, float]
) -> float:
    if kind == "point":
        return (left + right - figures[1]) / 2 + figures[0] - point
    return {"left": left + room, "centre": (left + right) / 2, "right": right - room}[kind]


def _rules(
    edges: checks.FloatArray, tall: float, count: int, head: int, rules: str
) -> list[checks.FloatArray]:
    """Each rule one stroke from end to end; neighbouring ones run in opposite directions to save
    travel.
    """
    width = float(edges[-1])
    depth = -count * tall
    rows = [0, head, count] if rules == "head" else range(count + 1)
    levels = sorted({-row * tall for row in rows}, reverse=True)
    strokes = [np.array([[0.0, y], [width, y]]) for y in levels]
    if rules == "grid":
        strokes += [np.array([[x, 0.0], [x, depth]]) for x in edges]
    return [stroke[::-1] if k % 2 else stroke for k, stroke in enumerate(strokes)]
