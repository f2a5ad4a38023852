"""What ``sourceColorSpace = auto`` of a UsdUVTexture comes to for a picture.

Source: *UsdPreviewSurface Specification* 2.5, Texture Reader: "auto: Check for gamma/color space
metadata in the texture file itself; if metadata is indicative of sRGB, mark texture as sRGB. If no
relevant metadata is found, mark texture as sRGB if it is either an 8-bit image and has 3 or 4
channels. Otherwise, do not mark texture as sRGB and use texture data as it was read."
"""

from __future__ import annotations

from primecoat.colour.ids import DATA, SPACES
from primecoat.images.header import ImageHeader

SRGB = "srgb_rec709_scene"


def automatic(header: ImageHeader) -> tuple[str, str]:
    """Return the reading that ``auto`` comes to, and why in words.

    Metadata that tells another space than sRGB is relevant too: then the data is used as read.

    Parameters
    ----------
    header
        Header of the picture.

    Examples
    --------
    >>> plain = ImageHeader(
    ...     format="png", width=8, height=8, channels=("R", "G", "B"), pixel_type="uint8"
    ... )
    >>> automatic(plain)[0]
    'srgb_rec709_scene'
    """
    told = next((s for s in header.statements if s.reading is not None), None)
    if told is not None and told.reading is not None:
        space = SPACES.get(told.reading)
        if space is not None and space.curve == "srgb":
            return SRGB, f"'auto' takes it for sRGB, since its {told.kind} says so"
        return DATA, f"'auto' takes it as it is, since its {told.kind} tells of no sRGB curve"
    count = len(header.channels)
    if header.pixel_type == "uint8" and count in (3, 4):
        return SRGB, f"'auto' takes 8 bits and {count} channels for sRGB"
    bits = header.pixel_type.removeprefix("uint") + " bits" * header.integer
    return DATA, f"'auto' takes it as it is: {bits} and {count} channel{'s' * (count != 1)}"
