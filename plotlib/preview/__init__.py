"""Pictures of what the pens will leave on the paper."""

from plotlib.preview.contact import contact_sheet
from plotlib.preview.image import png

__all__ = ["contact_sheet", "png"]


def __dir__() -> list[str]:
    return sorted(__all__)
