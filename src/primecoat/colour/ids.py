"""The vocabulary of readings: Color Interop IDs, ``data`` and ``unknown``.

Source of the IDs: ASWF Color Interop Forum, *Color Space Encodings for Texture Assets and CG
Rendering* v1.1.0 (scene IDs) and *Color Space Encodings for Displays* v1.0.0 (display IDs).
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

DATA = "data"
UNKNOWN = "unknown"

Curve = Literal["linear", "srgb", "g18", "g22", "g24", "g26", "pq", "hlg"]
Primaries = Literal["rec709", "p3d65", "rec2020", "adobergb", "ap0", "ap1", "ciexyzd65"]


@dataclass(frozen=True, slots=True)
class ColourSpace:
    """One colour space of the vocabulary.

    Parameters
    ----------
    id
        Color Interop ID.
    curve
        Transfer function between the stored number and light.
    primaries
        Name of the RGB primaries.
    referred
        ``scene`` (numbers stand for light in the scene) or ``display`` (light on a screen).
    aliases
        Names for the same space in OpenColorIO's built-in configs and in MaterialX 1.39.
    """

    id: str
    curve: Curve
    primaries: Primaries
    referred: Literal["scene", "display"] = "scene"
    aliases: tuple[str, ...] = ()

    @property
    def linear(self) -> bool:
        """Whether stored numbers are proportional to light."""
        return self.curve == "linear"


_SPACES = (
    ColourSpace("lin_ap1_scene", "linear", "ap1", aliases=("acescg", "lin_ap1")),
    ColourSpace("lin_ap0_scene", "linear", "ap0", aliases=("aces2065_1", "lin_ap0")),
    ColourSpace(
        "lin_rec709_scene",
        "linear",
        "rec709",
        aliases=("lin_rec709", "lin_srgb", "lin_rec709_srgb"),
    ),
    ColourSpace("lin_p3d65_scene", "linear", "p3d65", aliases=("lin_p3d65", "lin_displayp3")),
    ColourSpace("lin_rec2020_scene", "linear", "rec2020", aliases=("lin_rec2020",)),
    ColourSpace("lin_adobergb_scene", "linear", "adobergb", aliases=("lin_adobergb",)),
    ColourSpace("lin_ciexyzd65_scene", "linear", "ciexyzd65", aliases=("cie_xyz_d65_scene",)),
    ColourSpace(
        "srgb_rec709_scene",
        "srgb",
        "rec709",
        aliases=("srgb_texture", "srgb_tx", "srgb_rec709"),
    ),
    ColourSpace("g24_rec709_scene", "g24", "rec709", aliases=("g24_rec709", "g24_rec709_tx")),
    ColourSpace("g22_rec709_scene", "g22", "rec709", aliases=("g22_rec709", "g22_rec709_tx")),
    ColourSpace("g18_rec709_scene", "g18", "rec709", aliases=("g18_rec709", "g18_rec709_tx")),
    ColourSpace("srgb_ap1_scene", "srgb", "ap1", aliases=("srgb_ap1", "srgb_encoded_ap1_tx")),
    ColourSpace("g22_ap1_scene", "g22", "ap1", aliases=("g22_ap1", "g22_ap1_tx")),
    ColourSpace(
        "srgb_p3d65_scene",
        "srgb",
        "p3d65",
        aliases=("srgb_displayp3", "srgb_p3d65", "srgb_encoded_p3d65_tx"),
    ),
    ColourSpace("g22_adobergb_scene", "g22", "adobergb", aliases=("adobergb", "g22_adobergb")),
    ColourSpace("srgb_rec709_display", "srgb", "rec709", "display", ("srgb_display",)),
    ColourSpace("g22_rec709_display", "g22", "rec709", "display"),
    ColourSpace("g24_rec709_display", "g24", "rec709", "display", ("rec1886_rec709_display",)),
    ColourSpace("srgb_p3d65_display", "srgb", "p3d65", "display", ("displayp3_display",)),
    ColourSpace("g26_p3d65_display", "g26", "p3d65", "display", ("p3d65_display",)),
    ColourSpace("pq_p3d65_display", "pq", "p3d65", "display", ("st2084_p3d65_display",)),
    ColourSpace("pq_rec2020_display", "pq", "rec2020", "display", ("rec2100_pq_display",)),
    ColourSpace("hlg_rec2020_display", "hlg", "rec2020", "display", ("rec2100_hlg_display",)),
)

SPACES: dict[str, ColourSpace] = {space.id: space for space in _SPACES}
"""All colour spaces of the vocabulary by Color Interop ID."""

SCENE_SPACES: tuple[str, ...] = tuple(s.id for s in _SPACES if s.referred == "scene")
"""The IDs of spaces whose numbers stand for light in the scene."""

READINGS: tuple[str, ...] = (*SPACES, DATA)
"""Every reading that an image can be given."""

DATA_ALIASES: tuple[str, ...] = ("raw", "utility_raw", "non_color", "noncolor", "identity")

_BY_NAME: dict[str, str] = (
    {s.id: s.id for s in _SPACES}
    | {alias: s.id for s in _SPACES for alias in s.aliases}
    | {DATA: DATA}
    | dict.fromkeys(DATA_ALIASES, DATA)
)

NAMES: dict[str, str] = dict(_BY_NAME)
"""Every name of a reading, lower case, to the reading: IDs and well-known aliases."""


def names_near(name: str) -> tuple[str, ...]:
    """Return readings that somebody may have meant who wrote a name that is none.

    Examples
    --------
    >>> names_near("sRGB")[:2], names_near("ACES cg1")
    (('srgb_rec709_scene', 'srgb_ap1_scene'), ('lin_ap1_scene', 'lin_ap0_scene'))
    """
    plain = name.strip().lower().replace(" ", "_").replace("-", "_")
    begin = [one for one in READINGS if plain and one.startswith(plain)]
    return tuple(begin or dict.fromkeys(_BY_NAME[n] for n in get_close_matches(plain, _BY_NAME, 2)))


def reading_named(name: str) -> str | None:
    """Return the reading that a name stands for, or None.

    Case, spaces and hyphens do not matter. ``unknown`` is a reading that nobody can name.

    Examples
    --------
    >>> reading_named("ACEScg"), reading_named("raw"), reading_named("moonlight")
    ('lin_ap1_scene', 'data', None)
    """
    return _BY_NAME.get(name.strip().lower().replace(" ", "_").replace("-", "_"))
