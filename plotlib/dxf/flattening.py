"""The outlines of single entities of a DXF file as points."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from plotlib.checks import FloatArray, package

_USE = "plotlib.dxf"


def lines_of(entity: Any, tolerance: float) -> list[FloatArray] | None:
    """The strokes (n, 2) of an entity in the units of the file; None where it has none."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [_flat([entity.dxf.start, entity.dxf.end])]
    if kind == "POINT":
        return [_flat([entity.dxf.location])]
    if kind in ("CIRCLE", "ARC", "ELLIPSE", "SPLINE"):
        return [_flat(entity.flattening(tolerance))]
    if kind in ("LWPOLYLINE", "POLYLINE") and _is_bent(entity):
        return [_chained(entity, tolerance)]
    paths = package("ezdxf.path", install="ezdxf", use=_USE)
    try:
        path = paths.make_path(entity)
    except TypeError:  # what has no outline, such as text
        return None
    return [_flat(part.flattening(tolerance)) for part in path.sub_paths() if len(part)]


def rings_of(entity: Any, tolerance: float) -> list[FloatArray]:
    """The boundaries (n, 2) of a hatch."""
    paths = package("ezdxf.path", install="ezdxf", use=_USE)
    found = [_flat(path.flattening(tolerance)) for path in paths.from_hatch(entity)]
    return [ring for ring in found if len(ring) >= 3]


def _flat(points: Iterable[Any]) -> FloatArray:
    rows = [(point.x, point.y) for point in points]
    return np.array(rows, np.float64).reshape(-1, 2)


def _is_bent(entity: Any) -> bool:
    """Whether a polyline of the plane has arcs."""
    if entity.dxftype() == "POLYLINE" and not entity.is_2d_polyline:
        return False
    return bool(entity.has_arc)


def _chained(entity: Any, tolerance: float) -> FloatArray:
    """A polyline with arcs, piece by piece: each arc goes on where the piece before it ended."""
    parts: list[FloatArray] = []
    for piece in entity.virtual_entities():
        for line in lines_of(piece, tolerance) or []:
            parts.append(line)
    if len(parts) > 1 and _gap(parts[0][-1], parts[1]) > _gap(parts[0][0], parts[1]):
        parts[0] = parts[0][::-1]
    for k in range(1, len(parts)):
        end = parts[k - 1][-1]
        if np.hypot(*(parts[k][-1] - end)) < np.hypot(*(parts[k][0] - end)):
            parts[k] = parts[k][::-1]
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])


def _gap(point: FloatArray, line: FloatArray) -> float:
    """How far a point is from the nearer end of a line."""
    return float(min(np.hypot(*(line[0] - point)), np.hypot(*(line[-1] - point))))
