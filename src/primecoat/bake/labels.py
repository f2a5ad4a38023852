"""What a baked picture says of itself: one fresh colour statement, and none of the source's.

Attributes are (name, type, value), as :class:`primecoat.images.oiio_stream.Part` holds them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from primecoat.images.part import Attribute

_COLOUR = {
    "oiio:colorspace", "colorinteropid", "chromaticities", "adoptedneutral",
    "acesimagecontainerflag", "whiteluminance", "iccprofile", "cicp", "oiio:gamma", "gamma",
    "exif:colorspace", "exif:gamma", "exif:whitepoint", "exif:primarychromaticities",
    "exif:ycbcrcoefficients", "exif:referenceblackwhite", "tiff:photometricinterpretation",
    "tiff:colorspace", "jpeg:colorspace", "renderingtransform", "lookmodtransform", "hdr:exposure",
    "radiance:exposure", "exposure", "primaries", "whitepoint", "primarychromaticities",
    "transferfunction", "tiff:whitepoint", "tiff:primarychromaticities", "tiff:transferfunction",
    "photoshop:colormode", "photoshop:iccprofile", "png:gamma", "targa:gamma", "rgbprimaries",
}  # fmt: skip
"""Names, lower case, of what speaks of colour or of the numbers' scale."""

_COLOUR_FAMILIES = (
    "iccprofile:", "icc_profile", "ocio:", "color:", "interop:", "crs:", "primecoat:",
)  # fmt: skip

_PIXELS = {
    "oiio:sha-1", "sha-1", "oiio:constantcolor", "oiio:averagecolor", "constantcolor",
    "averagecolor", "oiio:bitspersample", "oiio:subimages", "oiio:subimagename_", "datetime",
    "capdate", "compression", "oiio:unassociatedalpha", "oiio:rowsperchunk", "tiff:rowsperstrip",
    "tiff:compression", "planarconfig", "tiff:planarconfig", "openexr:lineorder",
    "openexr:levelmode", "openexr:roundingmode", "openexr:compressor", "png:compressionlevel",
    "jpeg:subsampling", "jpeg:progressive", "exif:pixelxdimension", "exif:pixelydimension",
    "thumbnail_width", "thumbnail_height", "thumbnail_nchannels", "thumbnail_image",
    "openexr:chunkcount", "chunkcount", "preview", "type", "tiles", "channels", "datawindow",
    "displaywindow", "lineorder", "pnginterlace", "png:interlace", "software", "history",
    "exif:imagehistory", "tiff:software", "xmp:creatortool", "tiff:half", "oiio:history",
}  # fmt: skip
"""Names, lower case, of what speaks of the old pixels, or of how they were stored."""

_EVERYWHERE = {
    "imagedescription", "artist", "copyright", "documentname", "orientation", "name",
    "xresolution", "yresolution", "resolutionunit", "pixelaspectratio", "keywords", "owner",
    "comments", "wrapmodes", "textureformat", "worldtocamera", "worldtondc", "worldtoscreen",
    "fovcot",
}  # fmt: skip
"""Names, lower case, of what means the same in every format."""

_TEXTS = {"imagedescription", "comments"}
_FIGURES = re.compile(r"\b(?:oiio:)?(?:SHA-1|ConstantColor|AverageColor)\s*=\s*\S+")

PINNED_DATE: Attribute = ("DateTime", "string", "1970:01:01 00:00:00")
"""Written instead of now, so that the same recipe gives the same bytes."""


def kept_header(
    header: Iterable[Attribute], *, same_format: bool, same_colour: bool = False
) -> tuple[Attribute, ...]:
    """Return what a baked picture keeps of its source's header.

    Colour statements, and what only held for the old pixels or the old file, are dropped. Into
    another format only what means the same everywhere is taken.

    Parameters
    ----------
    header
        The source's.
    same_format
        Whether source and result have one format.
    same_colour
        Whether colour, if there is any, stays what it was; its statements are then kept.

    Examples
    --------
    >>> old = [("chromaticities", "float[8]", (0.7,) * 8), ("Artist", "string", "the potter")]
    >>> kept_header(old, same_format=True)
    (('Artist', 'string', 'the potter'),)
    """
    kept = []
    for name, kind, value in header:
        plain = name.lower()
        of_colour = plain in _COLOUR or plain.startswith(_COLOUR_FAMILIES)
        if plain in _PIXELS or (of_colour and not same_colour):
            continue
        if same_format or plain in _EVERYWHERE:
            kept.append((name, kind, _without_figures(value) if plain in _TEXTS else value))
    return tuple((name, kind, value) for name, kind, value in kept if value != "")


def _without_figures(value: Any) -> Any:
    """Return a text without the figures of the old pixels that texture makers put into it."""
    return _FIGURES.sub("", value).strip() if isinstance(value, str) else value
