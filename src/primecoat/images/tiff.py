"""Colour statements of a TIFF file, from the tags of its directories.

Sources: TIFF 6.0 (PhotometricInterpretation 262, PlanarConfiguration 284, WhitePoint 318,
PrimaryChromaticities 319, TileWidth 322); the BigTIFF design (version 43); DNG 1.7 (34892, linear
raw); ICC.1 Annex B (profile in tag 34675).
"""

from __future__ import annotations

from dataclasses import replace

from primecoat.images.encodings import WORDS, match_primaries
from primecoat.images.exif import Directories, Entry, directory_statement
from primecoat.images.head import Head
from primecoat.images.header import ColourStatement, TextureRecord
from primecoat.images.icc_statement import profile_statement
from primecoat.images.texture_record import TEXTURE_FORMAT_TAG, texture_record

SIGNATURES = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")

_PHOTOMETRIC = 262
_DESCRIPTION = 270
_PLANAR = 284
_SOFTWARE = 305
_DATE = 306
_WHITE_POINT = 318
_TILE_WIDTH = 322
_PRIMARIES = 319
_ICC_PROFILE = 34675
NOT_RGB = {
    5: "CMYK",
    8: "CIELab",
    9: "ICCLab",
    10: "ITULab",
    32803: "camera raw",
    32844: "LogL",
    32845: "LogLuv",
    34892: "linear camera raw",
}
"""Photometric interpretations whose numbers are neither grey nor RGB.

YCbCr (6) is none of them: the decoder gives the RGB it was made from."""

_STORED = {0: "0 is white", 3: "palette", 6: "YCbCr", **NOT_RGB}

Tags = dict[int, Entry]


def tiff_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the first directory states about colour, the one that rules first."""
    return statements_of(*_first(head))


def statements_of(directories: Directories, tags: Tags) -> tuple[ColourStatement, ...]:
    """Return what one directory states about colour, the statement that rules first."""
    photometric = directories.integer(tags.get(_PHOTOMETRIC))
    found: list[ColourStatement | None] = []
    profile = directories.raw(tags.get(_ICC_PROFILE))
    if profile:
        found.append(profile_statement(profile, grey=photometric in (0, 1)))
    if photometric in NOT_RGB:
        name = NOT_RGB[photometric]
        words = f"photometric interpretation {photometric}: {name} numbers, not RGB"
        found.append(ColourStatement(kind=name, reading=None, firm=True, words=words))
    found.append(_exif(directories, tags))
    white = directories.fractions(tags.get(_WHITE_POINT))
    colorants = directories.fractions(tags.get(_PRIMARIES))
    if len(white) == 2 and len(colorants) == 6:
        primaries = match_primaries((*colorants, *white))
        words = f"{WORDS[primaries] if primaries else 'no known'} primaries, no curve told"
        found.append(ColourStatement(kind="chromaticities", reading=None, firm=False, words=words))
    return tuple(statement for statement in found if statement)


def _exif(directories: Directories, tags: Tags) -> ColourStatement | None:
    """Return the EXIF statement; in a texture it is no more than a hint.

    Texture makers stamp there what their reader takes an untagged source for.
    """
    stated = directory_statement(directories, tags)
    if stated is None or TEXTURE_FORMAT_TAG not in tags:
        return stated
    words = f"{stated.words} (a hint: texture makers stamp their reader's default there)"
    return replace(stated, firm=False, words=words)


def tiff_storage(head: Head) -> tuple[str, ...]:
    """Return how pixels are stored, where it is out of the ordinary."""
    directories, tags = _first(head)
    found = []
    photometric = directories.integer(tags.get(_PHOTOMETRIC))
    if photometric in _STORED:
        found.append(_STORED[photometric])
    if directories.integer(tags.get(_PLANAR)) == 2:
        found.append("planar")
    if _TILE_WIDTH in tags:
        found.append("tiled")
    if directories.big:
        found.append("BigTIFF")
    if head.start[:2] == b"MM":
        found.append("big-endian")
    return tuple(found)


def tiff_texture(head: Head) -> TextureRecord | None:
    """Return the record of a texture, or None for a plain picture."""
    directories, tags = _first(head)
    kind = directories.text(tags.get(TEXTURE_FORMAT_TAG))
    if not kind:
        return None
    return texture_record(
        kind,
        description=directories.text(tags.get(_DESCRIPTION)),
        software=directories.text(tags.get(_SOFTWARE)),
        date=directories.text(tags.get(_DATE)),
    )


def _first(head: Head) -> tuple[Directories, Tags]:
    directories = Directories(head)
    return directories, directories.entries(directories.first)
