"""DXF files from elsewhere, in true size, by the package ezdxf (extra ``dxf``)."""

from plotlib.dxf.reader import DxfWarning, read

__all__ = ["DxfWarning", "read"]


def __dir__() -> list[str]:
    return sorted(__all__)
