"""Drawings in millimetres, made in code, become files that a pen-drawing machine runs safely, soon,
and inside the area it declares.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from plotlib.drawing import Drawing
from plotlib.drawing.inline import shown_by
from plotlib.errors import (
    GcodeError,
    InvalidValue,
    MissingPackage,
    NotRead,
    NotWritten,
    OutsideEnvelope,
    PlotlibError,
    ProfileError,
    ProofError,
    SvgError,
    UnknownName,
)
from plotlib.machine import (
    Axis,
    Corrections,
    Dialogue,
    HeightMap,
    KeepOut,
    Machine,
    ServoLift,
    SolenoidLift,
    ZLift,
)
from plotlib.pen import Pen
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    import plotlib.calibration as calibration
    import plotlib.curves as curves
    import plotlib.dxf as dxf
    import plotlib.fields as fields
    import plotlib.fills as fills
    import plotlib.gcode as gcode
    import plotlib.growth as growth
    import plotlib.images as images
    import plotlib.maps as maps
    import plotlib.preview as preview
    import plotlib.regions as regions
    import plotlib.sets as sets
    import plotlib.shapes as shapes
    import plotlib.streaming as streaming
    import plotlib.svg as svg
    import plotlib.symmetry as symmetry
    import plotlib.testing as testing
    import plotlib.text as text
    import plotlib.tidying as tidying
    import plotlib.tilings as tilings
    from plotlib.planning.plan import plan
    from plotlib.planning.plot import Plot

# Rooms and the planner are loaded when first used, so that importing plotlib stays quick.
_ROOMS = (
    "calibration",
    "curves",
    "dxf",
    "fields",
    "fills",
    "gcode",
    "growth",
    "images",
    "maps",
    "preview",
    "regions",
    "sets",
    "shapes",
    "streaming",
    "svg",
    "symmetry",
    "testing",
    "text",
    "tilings",
    "tidying",
)
shown_by(lambda: importlib.import_module("plotlib.preview.inline"))  # notebooks
_PLANNER = {"plan": "plotlib.planning.plan", "Plot": "plotlib.planning.plot"}

__all__ = [
    "Axis",
    "Corrections",
    "Dialogue",
    "Drawing",
    "GcodeError",
    "HeightMap",
    "InvalidValue",
    "KeepOut",
    "Machine",
    "MissingPackage",
    "NotRead",
    "NotWritten",
    "OutsideEnvelope",
    "Pen",
    "Plot",
    "PlotlibError",
    "ProfileError",
    "ProofError",
    "ServoLift",
    "SolenoidLift",
    "Sheet",
    "SvgError",
    "UnknownName",
    "ZLift",
    "calibration",
    "curves",
    "dxf",
    "fields",
    "fills",
    "gcode",
    "growth",
    "images",
    "maps",
    "plan",
    "preview",
    "regions",
    "sets",
    "shapes",
    "streaming",
    "svg",
    "symmetry",
    "testing",
    "text",
    "tilings",
    "tidying",
]


def __getattr__(name: str) -> Any:
    if name in _ROOMS:
        return importlib.import_module(f"plotlib.{name}")
    if name in _PLANNER:
        importlib.import_module("plotlib.gcode")  # has plan refuse machines that cannot be served
        return getattr(importlib.import_module(_PLANNER[name]), name)
    raise AttributeError(f"plotlib has no {name!r}")


def __dir__() -> list[str]:
    return __all__
