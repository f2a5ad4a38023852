"""The one statement by which a written picture says its colour space, where its format can.

Attributes are (name, type, value), as :class:`primecoat.images.part.Part` holds them.
"""

from __future__ import annotations

from primecoat.colour.ids import SPACES, Curve, Primaries
from primecoat.errors import RefusedError
from primecoat.images.icc_write import matrix_profile
from primecoat.images.part import Attribute

_CODE_PRIMARIES: dict[Primaries, int] = {"rec709": 1, "rec2020": 9, "p3d65": 12}
_CODE_CURVES: dict[Curve, int] = {"linear": 8, "srgb": 13, "pq": 16, "hlg": 18}
"""ITU-T H.273. Gamma 2.2 (4) is left out: its code also stands for a system of the past."""


def statement(space: str, ending: str) -> tuple[Attribute, ...]:
    """Return the one statement that says a space in a file format.

    OpenEXR says a Color Interop ID; PNG says four code points where they name the space, else an
    ICC profile; TIFF says an ICC profile.

    Raises
    ------
    RefusedError
        If the format has no true way to say it.

    Examples
    --------
    >>> statement("lin_ap1_scene", ".exr")
    (('colorInteropID', 'string', 'lin_ap1_scene'),)
    >>> statement("srgb_p3d65_scene", ".png")
    (('CICP', 'int[4]', (12, 13, 0, 1)),)
    """
    if ending == ".exr":
        return (("colorInteropID", "string", space),)
    codes = _code_points(space, ending)
    if codes:
        return (("CICP", "int[4]", codes),)
    profile = matrix_profile(space)
    if profile is None:
        raise RefusedError(
            f"A {ending} file has no true way to say {space}.",
            "Store it as .exr, or bake to another space.",
        )
    return (("ICCProfile", f"uint8[{len(profile)}]", profile),)


def says_grey(space: str, ending: str) -> bool:
    """Whether the statement fits a grey picture: a profile of red, green and blue does not.

    Examples
    --------
    >>> says_grey("lin_ap1_scene", ".exr"), says_grey("lin_ap1_scene", ".png")
    (True, False)
    """
    return ending == ".exr" or bool(_code_points(space, ending))


def _code_points(space: str, ending: str) -> tuple[int, ...]:
    known = SPACES[space]
    if ending != ".png" or known.primaries not in _CODE_PRIMARIES:
        return ()
    if known.curve not in _CODE_CURVES:
        return ()
    return _CODE_PRIMARIES[known.primaries], _CODE_CURVES[known.curve], 0, 1
