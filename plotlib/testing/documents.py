"""Strategies for whole files: G-code programs and SVG documents."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from plotlib.checks import flag
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.machine import Machine
from plotlib.planning.plan import plan
from plotlib.testing.devices import machines
from plotlib.testing.geometry import drawings
from plotlib.testing.library import strategies

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy

_SHAPES = (
    '<path d="M0 0L3 4 6 0"/>',
    '<path d="m2 1v3h-1c1 1 2-1 0 2z"/>',
    '<path d="M1 1a2 1 30 0 1 3 2q1 1 2 0t2 0"/>',
    '<rect x="1" y="2" width="3" height="1" rx=".4"/>',
    '<circle cx="5" cy="5" r="2"/>',
    '<ellipse cx="5" cy="3" rx="4" ry="1"/>',
    '<line x1="5" y1="1" y2="2"/>',
    '<polyline points="0,0 2,0 1,3"/>',
    '<polygon points="0,0 2,0 1,3"/>',
)
_LOOKS = (
    "",
    ' fill="none" stroke="#1d4e89" stroke-width=".3"',
    ' fill="#b4431f"',
    ' style="stroke:black;fill:none" stroke-dasharray="1 .5"',
    ' fill="none" stroke="navy" stroke-linecap="round"',
)


def gcode_programs(
    machine: Machine | None = None, *, damaged: bool = False
) -> SearchStrategy[tuple[str, Machine]]:
    """Random G-code programs for hypothesis, each with the machine that it is written for.

    Parameters
    ----------
    machine : Machine, optional
        The one that all programs are for; without it `machines` gives one for each.
    damaged : bool, default False
        Whether a line was deleted, doubled or swapped with another, or a character changed, after
        the program had been proven: what reads it must refuse it or follow it, never fail
        otherwise.

    Returns
    -------
    hypothesis SearchStrategy of (str, Machine)
        For ``@given``.

    Raises
    ------
    InvalidValue
        If ``machine`` is no Machine, or ``damaged`` is no bool.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> from plotlib.testing import assert_on_bed
    >>> @settings(max_examples=10, deadline=None)
    ... @given(gcode_programs())
    ... def test_a_program_stays_on_the_bed(job):
    ...     program, machine = job
    ...     assert_on_bed(program, machine)
    >>> test_a_program_stays_on_the_bed()
    """
    if machine is not None and not isinstance(machine, Machine):
        raise InvalidValue(
            f"machine must be a Machine or None, got {type(machine).__name__}", name="machine"
        )
    is_damaged = flag("damaged", damaged)
    st = strategies()
    from hypothesis import assume

    from plotlib.gcode.writer import text_of

    @st.composite  # type: ignore[untyped-decorator]
    def one(draw: Any) -> tuple[str, Machine]:
        bench = machine or draw(machines())
        drawing = draw(drawings(bench, most=5))
        try:
            program = text_of(plan(drawing, bench))
        except OutsideEnvelope:  # random ink may lie in a keep-out of the caller's machine
            assume(False)
        return (draw(_spoiled(st, program)) if is_damaged else program), bench

    made: SearchStrategy[tuple[str, Machine]] = one()
    return made


def _spoiled(st: Any, program: str) -> Any:
    """The program with one thing wrong."""
    lines = program.split("\n")[:-1]
    number = st.integers(0, len(lines) - 1)

    def without(k: int) -> list[str]:
        return lines[:k] + lines[k + 1 :]

    def doubled(k: int) -> list[str]:
        return lines[: k + 1] + lines[k:]

    def swapped(a: int, b: int) -> list[str]:
        changed = list(lines)
        changed[a] = lines[b]
        changed[b] = lines[a]
        return changed

    def typed(k: int, place: int, character: str) -> list[str]:
        at = place % (len(lines[k]) + 1)
        return [*lines[:k], lines[k][:at] + character + lines[k][at + 1 :], *lines[k + 1 :]]

    character = st.sampled_from("0123456789-. GMXYZFIJ()\tÿ")
    return st.one_of(
        number.map(without),
        number.map(doubled),
        st.builds(swapped, number, number),
        st.builds(typed, number, st.integers(0, 200), character),
    ).map(lambda parts: "".join(f"{line}\n" for line in parts))


def svg_documents() -> SearchStrategy[str]:
    """Random SVG documents for hypothesis: shapes and paths, fills, strokes and dashes, in nested
    groups, uses and viewports with transforms.

    Returns
    -------
    hypothesis SearchStrategy of str
        For ``@given``; the text of a whole document of known size.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> import plotlib as pl
    >>> @settings(max_examples=20, deadline=None)
    ... @given(svg_documents())
    ... def test_a_document_can_be_read(document):
    ...     assert pl.svg.read(document, fills="outline").size == (120, 90)
    >>> test_a_document_can_be_read()
    """
    st = strategies()
    small = st.integers(-9, 9)
    change = st.one_of(
        st.builds(" translate({} {})".format, small, small),
        st.builds(" rotate({})".format, st.integers(-180, 180)),
        st.builds(" scale({} {})".format, st.sampled_from([-2, 0.25, 3]), st.sampled_from([1, -1])),
        st.builds(" skewX({})".format, st.integers(-60, 60)),
    )
    moves = st.lists(change, max_size=2).map(
        lambda parts: f' transform="{"".join(parts).strip()}"' if parts else ""
    )
    look = st.sampled_from(_LOOKS)
    shape = st.builds(_shape, st.sampled_from(_SHAPES), moves, look)
    group = st.recursive(
        shape,
        lambda inner: st.builds(
            _group, st.lists(inner, min_size=1, max_size=3), moves, look, st.booleans()
        ),
        max_leaves=6,
    )
    document: SearchStrategy[str] = st.lists(group, max_size=4).map(_document)
    return document


def _shape(markup: str, transform: str, look: str) -> str:
    return markup.replace("/>", f"{transform}{look}/>")


def _group(parts: list[str], transform: str, look: str, is_viewport: bool) -> str:
    inner = "".join(parts)
    if is_viewport:
        return f'<svg x="3" y="4" width="20" height="30" viewBox="0 0 10 12"{look}>{inner}</svg>'
    return f"<g{transform}{look}>{inner}</g>"


def _document(parts: list[str]) -> str:
    uses = "".join(
        f'<g id="d{k}">{part}</g><use href="#d{k}" x="40" y="9"/>' for k, part in enumerate(parts)
    )
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" '
    return f'{head}viewBox="0 0 120 90">{uses}</svg>'
