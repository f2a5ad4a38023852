"""What a texture file (``.tx``: TIFF or OpenEXR, tiled, with smaller levels) keeps of its making.

Source: OpenImageIO 3.2 documentation, *Texture maker* and *Metadata conventions*
(``textureformat``, ``oiio:SHA-1``, ``DateTime``, ``Software`` with the command line if asked for).
TIFF keeps ``textureformat`` in private tag 33302 (libtiff ``tiff.h``: TIFFTAG_PIXAR_TEXTUREFORMAT).
"""

from __future__ import annotations

import re
import shlex

from primecoat.images.header import TextureRecord

TEXTURE_FORMAT_TAG = 33302

_HASH = re.compile(r"oiio:SHA-1[=\s]+([0-9A-Fa-f]{40})")
_DATE = re.compile(r"\d{4}:\d\d:\d\d \d\d:\d\d:\d\d")
_PICTURE = re.compile(r"\.[A-Za-z0-9]{2,5}$")
_MOST_WORDS = 200


def texture_record(
    kind: str, *, description: str = "", software: str = "", date: str = "", pixel_hash: str = ""
) -> TextureRecord:
    """Put a record together from the texts that a texture carries.

    Parameters
    ----------
    kind
        Its ``textureformat``.
    description
        Image description, in which TIFF textures keep the hash.
    software
        Name and, often, command line of the maker, which names the source last.
    date
        Date that the file carries.
    pixel_hash
        The hash, where it has a place of its own.

    Examples
    --------
    >>> record = texture_record(
    ...     "Plain Texture", description="oiio:SHA-1=" + "a1" * 20,
    ...     software="OpenImageIO 3.2 : maketx glaze.png -o glaze.tx",
    ... )
    >>> record.source, record.pixel_hash[:4]
    ('glaze.png', 'A1A1')
    """
    found = _HASH.search(description)
    return TextureRecord(
        kind=kind,
        source=_source(software),
        date=date if _DATE.fullmatch(date) else "",
        pixel_hash=(pixel_hash or (found.group(1) if found else "")).upper(),
    )


def _source(software: str) -> str:
    """Return the picture that a command line reads, or an empty text."""
    _, colon, command = software.partition(" : ")
    if not colon:
        return ""
    try:
        words = shlex.split(command)[1:_MOST_WORDS]
    except ValueError:
        return ""
    written = {words[at + 1] for at, word in enumerate(words[:-1]) if word in ("-o", "--output")}
    pictures = [w for w in words if _PICTURE.search(w) and not w.startswith("-")]
    read = [w for w in pictures if w not in written]
    return read[-1] if read else ""
