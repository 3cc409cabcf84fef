"""Pictures of what the pens will leave on the paper."""

from plotlib.preview.contact import contact_sheet
from plotlib.preview.explorer import explore
from plotlib.preview.picture import image, png
from plotlib.preview.replay import page

__all__ = ["contact_sheet", "explore", "image", "page", "png"]


def __dir__() -> list[str]:
    return sorted(__all__)
