"""Setting a block of text in an outline font."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from plotlib import checks
from plotlib.arrays import affine
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.text.fonts.font import Font, Run, shaped
from plotlib.text.glyphs.characters import Slots, bare_slots, unknown
from plotlib.text.setting.breaking import Lines, paragraphs, wrapped
from plotlib.text.setting.style import WIDTHS, anchor_of

Point = tuple[float, float]
# Marks that turn the direction of what follows: a shaping library hides them, and would letter the
# text in another order than meant.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_NO_GLYPH = 0  # the glyph that every font has for characters it lacks


@dataclass(frozen=True, eq=False)
class FontBlock:
    """Placed glyphs: numbers (n,), origins (n, 2) in mm of the block, and the map (2, 3) that puts
    the block in its place.
    """

    glyphs: IntArray
    points: FloatArray
    starts: FloatArray
    advances: FloatArray
    texts: tuple[str, ...]
    scale: tuple[float, float]
    lean: float
    height: float
    leading: float
    matrix: FloatArray

    def baselines(self) -> tuple[Point, ...]:
        """Where each line begins."""
        return self._mapped([(x, -k * self.leading) for k, x in enumerate(self.starts.tolist())])

    def end(self) -> Point:
        """Where the last line ends."""
        last = len(self.starts) - 1
        return self._mapped(
            [(float(self.starts[last] + self.advances[last]), -last * self.leading)]
        )[0]

    def _mapped(self, points: list[Point]) -> tuple[Point, ...]:
        return tuple(
            (float(x), float(y)) for x, y in affine.apply(self.matrix, np.array(points, np.float64))
        )


def set_block(
    text: str,
    font: Font,
    *,
    height: float,
    at: Point,
    slant: float,
    width: float,
    tracking: float,
    leading: float | None,
    align: str,
    anchor: str,
    angle: float,
    wrap: float | None,
    missing: str | None,
) -> FontBlock:
    """Check, break, shape and place."""
    level, side = anchor_of(anchor, align)
    tall = checks.positive("height", height, unit="mm")
    up = tall / font.cap
    across = up * checks.between("width", width, *WIDTHS)
    track = checks.finite("tracking", tracking, unit="mm")
    lead = 1.6 * tall if leading is None else checks.finite("leading", leading, unit="mm")
    limit = None if wrap is None else checks.positive("wrap", wrap, unit="mm")
    if align == "justified" and limit is None:
        raise InvalidValue("justified lines need a width: give wrap in mm", name="wrap")
    lean = math.tan(math.radians(checks.between("slant", slant, -60.0, 60.0, unit="degrees")))
    slots, lines = _broken(text, font, across, track, limit, missing)
    written = [_line_text(slots, lines, k) for k in range(len(lines.first))]
    runs = [shaped(font, line) for line in written]
    set_lines = [_pens(run, across, track) for run in runs]
    taken = np.array([advance for _, advance in set_lines])
    whole = limit if limit is not None else float(taken.max(initial=0.0))
    starts = {"centre": (whole - taken) / 2, "right": whole - taken}.get(
        align, np.zeros(len(taken))
    )
    pens = [pen + start for (pen, _), start in zip(set_lines, starts, strict=True)]
    if align == "justified":
        for k in np.flatnonzero(~lines.final):
            pens[k], taken[k] = _stretched(pens[k], runs[k], written[k], taken[k], whole)
    origins = [
        _origins(pen, run, k * lead, across, up)
        for k, (pen, run) in enumerate(zip(pens, runs, strict=True))
    ]
    depth = (len(runs) - 1) * lead
    dx = {"left": 0.0, "centre": whole / 2, "right": whole}[side]
    dy = {"baseline": 0.0, "top": tall, "middle": (tall - depth) / 2, "bottom": -depth}[level]
    turn = affine.turn(checks.finite("angle", angle, unit="degrees"))
    place = np.array(checks.point("at", at))
    matrix = np.column_stack([turn, place - turn @ np.array([dx, dy])])
    glyphs = np.concatenate([run.glyphs for run in runs])
    return FontBlock(
        glyphs,
        np.concatenate(origins),
        starts,
        taken,
        tuple(written),
        (across, up),
        lean,
        tall,
        lead,
        matrix,
    )


def _broken(
    text: str, font: Font, across: float, track: float, limit: float | None, missing: str | None
) -> tuple[Slots, Lines]:
    """The characters, and which of them stand in which line."""
    given = _complete(text, font, missing)
    slots = bare_slots(given)
    if limit is None:
        return slots, paragraphs(slots)
    run = np.concatenate([[0.0], np.cumsum(_by_character(given, font, across, track))])
    hyphen = float(shaped(font, "-").advances.sum()) * across
    return slots, wrapped(slots, run, limit, hyphen=hyphen, tracking=track)


def _complete(text: str, font: Font, missing: str | None) -> str:
    """The text with every character that the font lacks replaced, or an error that names the
    first.
    """
    if missing is not None and (not isinstance(missing, str) or len(missing) > 1):
        raise InvalidValue(
            f"missing must be None, '' or one character, got {missing!r}", name="missing"
        )
    if not isinstance(text, str):
        raise InvalidValue(f"text must be a string, got {type(text).__name__}", name="text")
    given = re.sub("\r\n|[\r\x85\u2028\u2029]", "\n", text).replace("\t", "    ")
    lacking = set(given) & _TURNING
    for line in given.split("\n"):
        run = shaped(font, line)
        lacking |= {line[k] for k in run.characters[run.glyphs == _NO_GLYPH]}
    for character in sorted(lacking, key=given.index):
        if missing is None or character == missing:
            raise unknown(character, text, font.name)
        given = given.replace(character, missing)
    return given


def _by_character(text: str, font: Font, across: float, track: float) -> FloatArray:
    """Advance in mm of each character, kerning included; what a ligature takes counts for its
    first.
    """
    result = np.zeros(len(text))
    start = 0
    for line in text.split("\n"):
        run = shaped(font, line)
        np.add.at(result, start + run.characters, run.advances * across + track)
        start += len(line) + 1
    return result


def _line_text(slots: Slots, lines: Lines, k: int) -> str:
    written = slots.written(int(lines.first[k]), int(lines.last[k]))
    return written[:-1] + "-" if written.endswith("\u00ad") and not lines.final[k] else written


def _pens(run: Run, across: float, track: float) -> tuple[FloatArray, float]:
    """Pen position of each glyph, and the advance of the line."""
    steps = run.advances * across + np.where(run.advances != 0.0, track, 0.0)
    taken = float(steps.sum())
    return np.cumsum(steps) - steps, taken - (track if (run.advances != 0.0).any() else 0.0)


def _stretched(
    pen: FloatArray, run: Run, line: str, advance: float, width: float
) -> tuple[FloatArray, float]:
    """Room shared among the spaces, so that the line's advance is the whole width."""
    space = np.array([line[k] == " " for k in run.characters], np.bool_)
    if not space.any():
        return pen, advance
    share = (width - advance) / int(space.sum())
    return pen + share * (np.cumsum(space) - space), width


def _origins(pen: FloatArray, run: Run, down: float, across: float, up: float) -> FloatArray:
    return np.column_stack([pen + run.offsets[:, 0] * across, run.offsets[:, 1] * up - down])
