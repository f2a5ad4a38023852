"""Colour statements of a TIFF file, from the tags of its first directory.

Sources: TIFF 6.0 (PhotometricInterpretation 262, WhitePoint 318, PrimaryChromaticities 319);
ICC.1 Annex B (profile in tag 34675).
"""

from __future__ import annotations

from primecoat.images.encodings import WORDS, match_primaries
from primecoat.images.exif import Directories, directory_statement
from primecoat.images.head import Head
from primecoat.images.header import ColourStatement
from primecoat.images.icc_statement import profile_statement

SIGNATURES = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")

_PHOTOMETRIC = 262
_WHITE_POINT = 318
_PRIMARIES = 319
_ICC_PROFILE = 34675
_NOT_RGB = {5: "CMYK", 6: "YCbCr", 8: "CIELab", 9: "ICCLab", 32845: "LogLuv", 32803: "camera raw"}


def tiff_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the first directory states about colour, the one that rules first."""
    directories = Directories(head)
    tags = directories.entries(directories.first)
    photometric = directories.integer(tags.get(_PHOTOMETRIC))
    found: list[ColourStatement | None] = []
    profile = directories.raw(tags.get(_ICC_PROFILE))
    if profile:
        found.append(profile_statement(profile, grey=photometric in (0, 1)))
    if photometric in _NOT_RGB and photometric != 6:
        name = _NOT_RGB[photometric]
        words = f"photometric interpretation {photometric}: {name} numbers, not RGB"
        found.append(ColourStatement(kind=name, reading=None, firm=True, words=words))
    found.append(directory_statement(directories, tags))
    white = directories.fractions(tags.get(_WHITE_POINT))
    colorants = directories.fractions(tags.get(_PRIMARIES))
    if len(white) == 2 and len(colorants) == 6:
        primaries = match_primaries((*colorants, *white))
        words = f"{WORDS[primaries] if primaries else 'no known'} primaries, no curve told"
        found.append(ColourStatement(kind="chromaticities", reading=None, firm=False, words=words))
    return tuple(statement for statement in found if statement)
