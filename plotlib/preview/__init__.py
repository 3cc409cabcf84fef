"""Pictures of what the pens will leave on the paper."""

from plotlib.preview.image import png

__all__ = ["png"]
