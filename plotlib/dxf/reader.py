"""DXF files as drawings in millimetres."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from plotlib.arrays.flatten import TOLERANCE
from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, between, flag, package, positive, whole
from plotlib.drawing import Drawing
from plotlib.dxf.flattening import lines_of, rings_of
from plotlib.errors import DxfError
from plotlib.files import PathLike, read_bytes
from plotlib.pen import Pen
from plotlib.progress import stage
from plotlib.svg.artwork import Area, Artwork, LeftOut

_USE = "plotlib.dxf"
BUDGET = 2_000_000  # points and entities
_MOST = 5_000_000
_LARGEST = 256 * 2**20  # bytes
_FARTHEST = 1e8  # mm, as lengths may be elsewhere
_SHOWN = 5  # things named in a warning
# Millimetres for the codes of $INSUNITS (DXF reference, HEADER section); 0 says nothing.
_UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 2.54e-5, 9: 0.0254, 10: 914.4}
_UNITS |= {13: 0.001, 14: 100.0, 15: 1e4}
_BLACK = "#1a1a1a"  # colour 7, which is black on paper and white on a dark screen
_BROAD = 0.4  # mm where no line weight is given


class DxfWarning(UserWarning):
    """Something in a file was not taken over."""


class _Style(NamedTuple):
    """What an entity is drawn with."""

    layer: str
    colour: str
    width: float


def read(
    path: PathLike,
    *,
    unit: float | None = None,
    tolerance: float = TOLERANCE,
    budget: int = BUDGET,
    strict: bool = False,
) -> Artwork:
    """Read a DXF file in true size.

    Lines, polylines with their arcs, circles, arcs, ellipses, splines, points, solids and what
    stands in blocks are taken over, hatches as areas. Text, pictures and bodies are not: each is
    listed in ``left_out``, and a warning says so.

    Parameters
    ----------
    path : path
        The file, as text or binary.
    unit : float, optional
        Millimetres for one unit of the file, 1e-6 to 1e6, in the place of what the file says
        ($INSUNITS).
    tolerance : float, default 0.02
        Greatest distance in mm between a curve and its polyline.
    budget : int, default 2,000,000
        Most points and entities together, copies by blocks counted each; up to 5,000,000. A file
        has 256 MiB at most.
    strict : bool, default False
        Whether anything that is left out is an error.

    Returns
    -------
    Artwork
        As ``svg.read`` returns it: ``drawing`` in mm, x right, y up, moved so that its lower left
        corner is at (0, 0), with a pen for each layer, colour and line weight; ``areas`` of
        hatches; ``left_out``; ``size``. What lies on layers that are off or frozen is not there.

    Raises
    ------
    DxfError
        If the file is no DXF, is broken, says no unit, or is beyond the budget; if ``strict`` and
        something is left out.
    NotRead
        If the file cannot be read.
    InvalidValue
        If an option is invalid.
    MissingPackage
        If ezdxf is not installed; the extra "dxf" brings it.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> file = Path(tempfile.mkdtemp()) / "plan.dxf"
    >>> line = "0 SECTION 2 ENTITIES 0 LINE 8 0 10 1 20 2 11 31 21 42 0 ENDSEC 0 EOF"
    >>> _ = file.write_text(line.replace(" ", chr(10)))
    >>> read(file, unit=1).drawing[0].tolist()
    [[0.0, 0.0], [30.0, 40.0]]
    """
    given = None if unit is None else between("unit", unit, 1e-6, 1e6)
    far = positive("tolerance", tolerance, unit="mm")
    most = whole("budget", budget, low=1, high=_MOST)
    is_strict = flag("strict", strict)
    data = read_bytes(path, "DXF")
    with stage("reading a DXF"):
        document = _document(data)
        scale = _scale(document, given)
        art = _artwork(document, scale, far, most, _lines_of_handles(data))
    _tell(art, is_strict)
    return art


def _document(data: bytes) -> Any:
    recover = package("ezdxf.recover", install="ezdxf", use=_USE)
    if len(data) > _LARGEST:
        raise DxfError(f"the DXF has {len(data):,} bytes, more than {_LARGEST:,}")
    try:
        document, _ = recover.read(io.BytesIO(data))
    except Exception as error:  # whatever a broken file makes of the library beneath
        raise DxfError(f"this is no DXF that can be read: {str(error)[:200]}") from error
    if not len(document.modelspace()) and b"SECTION" not in data[:4096].upper():
        raise DxfError("this is no DXF: it has no sections")
    return document


def _scale(document: Any, given: float | None) -> float:
    if given is not None:
        return given
    code = int(document.header.get("$INSUNITS", 0))
    if code not in _UNITS:
        raise DxfError(
            f"the DXF says no unit that is known ($INSUNITS is {code}); give unit=1 if it was "
            f"drawn in millimetres, unit=25.4 for inches",
            code=code,
        )
    return _UNITS[code]


def _lines_of_handles(data: bytes) -> dict[str, int]:
    """The line, from 1, on which each handle stands; empty for binary files."""
    if b"\x00" in data[:64]:
        return {}
    rows = data.split(b"\n")
    pairs = zip(rows[::2], rows[1::2], strict=False)
    return {
        value.strip().decode("ascii", "replace").upper(): 2 * number + 2
        for number, (code, value) in enumerate(pairs)
        if code.strip() == b"5"
    }


def _artwork(document: Any, scale: float, far: float, most: int, places: dict[str, int]) -> Artwork:
    strokes: list[tuple[_Style, FloatArray]] = []
    fills: list[tuple[_Style, Any, list[FloatArray]]] = []
    left_out: list[LeftOut] = []
    used = 0
    try:
        for entity in _entities(document):
            style = _style(entity, document)
            if entity.dxftype() in ("HATCH", "MPOLYGON"):
                lines = rings_of(entity, far / scale)
                fills.append((style, entity, lines))
            else:
                lines = lines_of(entity, far / scale) or []
                strokes += [(style, line) for line in lines]
            if not lines:
                left_out.append(_left_out(entity, places))
            used += 1 + sum(map(len, lines))
            if used > most:
                raise DxfError(
                    f"the DXF has more than {most:,} points and entities; raise budget= up to "
                    f"{_MOST:,}, or split it",
                    budget=most,
                )
    except RecursionError as error:
        raise DxfError("blocks of the DXF hold each other without end") from error
    return _placed(strokes, fills, left_out, scale, places)


def _entities(document: Any) -> Iterator[Any]:
    """What is seen, blocks taken apart."""
    disassemble = package("ezdxf.disassemble", install="ezdxf", use=_USE)
    hidden = {
        layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()
    }
    for entity in disassemble.recursive_decompose(document.modelspace()):
        layer = str(entity.dxf.get("layer", "0")).lower()
        if layer not in hidden and not entity.dxf.get("invisible", 0):
            yield entity


def _style(entity: Any, document: Any) -> _Style:
    """Layer, colour and width, those of the layer where the entity has none of its own."""
    colours = package("ezdxf.colors", install="ezdxf", use=_USE)
    name = str(entity.dxf.get("layer", "0"))
    layer = document.layers.get(name) if name in document.layers else None
    number = entity.dxf.get("color", 256)
    weight = entity.dxf.get("lineweight", -1)
    rgb = entity.rgb
    if number in (0, 256) and rgb is None and layer is not None:
        number = abs(layer.color)
        rgb = layer.rgb
    if weight < 0 and layer is not None:
        weight = layer.dxf.get("lineweight", -3)
    if rgb is None and 0 < number < 256 and number != 7:
        rgb = colours.aci2rgb(number)
    colour = _BLACK if rgb is None else "#{:02x}{:02x}{:02x}".format(*rgb)
    return _Style(name, colour, weight / 100 if weight > 0 else _BROAD)


def _left_out(entity: Any, places: dict[str, int]) -> LeftOut:
    kind = entity.dxftype()
    handle = entity.dxf.get("handle")
    reason = "it has no extent" if kind == "HATCH" else "it has no lines that could be drawn"
    return LeftOut(element=kind, id=handle, line=places.get(str(handle), 0), reason=reason)


def _placed(
    strokes: list[tuple[_Style, FloatArray]],
    fills: list[tuple[_Style, Any, list[FloatArray]]],
    left_out: list[LeftOut],
    scale: float,
    places: dict[str, int],
) -> Artwork:
    """Everything in mm from its own lower left corner."""
    every = [line for _, line in strokes] + [ring for _, _, rings in fills for ring in rings]
    points = np.concatenate([np.zeros((0, 2)), *every])
    corner = points.min(axis=0) if len(points) else np.zeros(2)
    far = points.max(axis=0) if len(points) else np.zeros(2)
    size = ((far - corner) * scale).tolist()
    if not max(size) < _FARTHEST:
        raise DxfError(
            f"the DXF is {max(size):g} mm wide or high with {scale:g} mm for each unit, more than "
            f"{_FARTHEST:g}; give another unit=",
            unit=scale,
        )
    pens = _pens([style for style, _ in strokes])
    drawn = [Drawing([(line - corner) * scale], pen=pens[style]) for style, line in strokes]
    areas = []
    for style, entity, rings in fills:
        handle = entity.dxf.get("handle")
        areas.append(
            Area(
                colour=style.colour,
                group=style.layer,
                element=entity.dxftype(),
                id=handle,
                line=places.get(str(handle), 0),
                _points=(np.concatenate([np.zeros((0, 2)), *rings]) - corner) * scale,
                _offsets=offsets_of(np.array([len(ring) for ring in rings], np.int64)),
                _rule="evenodd",
                _clip=None,
            )
        )
    return Artwork(
        drawing=Drawing(drawn),
        left_out=tuple(left_out),
        size=(size[0], size[1]),
        _fills=tuple(area for area in areas if len(area._points)),
    )


def _pens(styles: list[_Style]) -> dict[_Style, Pen]:
    """A pen for each style, called like its layer where that has only one."""
    pens: dict[_Style, Pen] = {}
    for style in dict.fromkeys(styles):
        alike = {other for other in styles if other.layer == style.layer}
        layer = "".join(c for c in style.layer if c.isprintable()).strip() or "0"
        name = layer if len(alike) == 1 else f"{layer} {style.colour} {style.width:g}"
        taken = {pen.name for pen in pens.values()}
        while name in taken:
            name += "'"
        pens[style] = Pen(name, width=style.width, colour=style.colour)
    return pens


def _tell(art: Artwork, strict: bool) -> None:
    """Warn of what was left out, or raise it."""
    listed = [str(item) for item in art.left_out[:_SHOWN]]
    if not listed:
        return
    more = len(art.left_out) - len(listed)
    if more > 0:
        listed.append(f"and {more:,} more, see left_out")
    if strict:
        raise DxfError(
            f"not all of the DXF can be taken over: {'; '.join(listed)}", left_out=art.left_out
        )
    text = f"not all of the DXF was taken over: {'; '.join(listed)}"
    warnings.warn(text, DxfWarning, stacklevel=3)
