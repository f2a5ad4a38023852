"""Exact definitions of the vocabulary's spaces, for a base that lacks them.

A scene space is matrix and curve from and to ACES2065-1, white adapted by Bradford; a display
space from and to X, Y, Z of D65. Both are what the built-in configs take as reference. Source of
matrices and curves: as in :mod:`primecoat.colour.primaries` and :mod:`primecoat.images.curves`.
Below 0 a space does as the built-in configs' spaces of its kind: a scene space's sRGB curve goes
on as a line and its pure power leaves the number as it is, a display space's curve is mirrored.
"""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio

from primecoat.colour.ids import SPACES, UNKNOWN, ColourSpace
from primecoat.colour.primaries import PRIMARIES, Matrix, rgb_to_rgb_matrix

_EXPONENTS = {"g18": 1.8, "g22": 2.2, "g24": 2.4, "g26": 2.6}

_ADOBE_RGB = 563 / 256
"""Source: Adobe RGB (1998) Color Image Encoding, May 2005, 4.3.1.2."""

_HDR_STYLES = {
    "pq_p3d65_display": "DISPLAY - CIE-XYZ-D65_to_ST2084-P3-D65",
    "pq_rec2020_display": "DISPLAY - CIE-XYZ-D65_to_REC.2100-PQ",
    "hlg_rec2020_display": "DISPLAY - CIE-XYZ-D65_to_REC.2100-HLG-1000nit",
}
"""OpenColorIO's own transforms of these curves; all are in OpenColorIO 2.1 already."""

UNKNOWN_DESCRIPTION = (
    "Nothing says how these numbers are to be read. Files end up here whose name carries no "
    "token; the numbers are left as they are. This is no reading: find out what the file is, put "
    "the token into its name or name its space in the scene."
)


def added_space(reading: str) -> ocio.ColorSpace:
    """Return the colour space of a Color Interop ID, named by it.

    Parameters
    ----------
    reading
        One of :data:`primecoat.colour.ids.SPACES`.

    Examples
    --------
    >>> added_space("g22_adobergb_scene").getEncoding()
    'sdr-video'
    """
    space = SPACES[reading]
    scene = space.referred == "scene"
    made = ocio.ColorSpace(
        ocio.REFERENCE_SPACE_SCENE if scene else ocio.REFERENCE_SPACE_DISPLAY,
        reading,
        aliases=list(space.aliases),
        family="Utility" if scene else "Display",
        encoding=_encoding(space),
        description=_described(space),
        bitDepth=ocio.BIT_DEPTH_F32,
        categories=["file-io", "texture"] if scene else ["file-io"],
    )
    made.setTransform(_from_reference(space), ocio.COLORSPACE_DIR_FROM_REFERENCE)
    return made


def unknown_space() -> ocio.ColorSpace:
    """Return the space of files of which nobody knows how they are to be read.

    ``unknown`` is the ID that the Color Interop Forum keeps for this. The space does nothing to
    the numbers.
    """
    return ocio.ColorSpace(
        ocio.REFERENCE_SPACE_SCENE,
        UNKNOWN,
        family="Utility",
        description=UNKNOWN_DESCRIPTION,
        isData=True,
        encoding="data",
        bitDepth=ocio.BIT_DEPTH_F32,
        categories=["file-io"],
    )


def _encoding(space: ColourSpace) -> str:
    if space.curve in ("pq", "hlg"):
        return "hdr-video"
    return "scene-linear" if space.linear else "sdr-video"


def _described(space: ColourSpace) -> str:
    referred = "Light in the scene" if space.referred == "scene" else "Light on a display"
    curve = "linear" if space.linear else f"curve {space.curve}"
    return f"{referred}, primaries {space.primaries}, {curve} (Color Interop ID {space.id})."


def _from_reference(space: ColourSpace) -> ocio.Transform:
    if space.id in _HDR_STYLES:
        return ocio.BuiltinTransform(style=_HDR_STYLES[space.id])
    reference = PRIMARIES["ap0" if space.referred == "scene" else "ciexyzd65"]
    group = ocio.GroupTransform()
    group.appendTransform(_matrix(rgb_to_rgb_matrix(reference, PRIMARIES[space.primaries])))
    if not space.linear:
        group.appendTransform(_encoding_curve(space))
    return group


def _matrix(matrix: Matrix) -> ocio.MatrixTransform:
    """Return a matrix whose numbers are those that a config file holds: 15 digits."""
    whole = np.eye(4)
    whole[:3, :3] = matrix
    return ocio.MatrixTransform(matrix=[float(f"{value:.15g}") for value in whole.ravel()])


def _encoding_curve(space: ColourSpace) -> ocio.Transform:
    scene = space.referred == "scene"
    if space.curve == "srgb":
        return ocio.ExponentWithLinearTransform(
            gamma=[2.4, 2.4, 2.4, 1.0],
            offset=[0.055, 0.055, 0.055, 0.0],
            negativeStyle=ocio.NEGATIVE_LINEAR if scene else ocio.NEGATIVE_MIRROR,
            direction=ocio.TRANSFORM_DIR_INVERSE,
        )
    power = _ADOBE_RGB if space.primaries == "adobergb" else _EXPONENTS[space.curve]
    return ocio.ExponentTransform(
        value=[power, power, power, 1.0],
        negativeStyle=ocio.NEGATIVE_PASS_THRU if scene else ocio.NEGATIVE_MIRROR,
        direction=ocio.TRANSFORM_DIR_INVERSE,
    )
