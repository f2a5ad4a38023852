"""What the card shows: each input, the numbers it holds, and how they were meant.

The same numbers stand in all pictures of colour; only what is said about them differs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

SRGB: Final = "srgb_rec709_scene"
LINEAR: Final = "lin_rec709_scene"
DATA: Final = "data"

CODES: Final = np.array([[217, 64, 38], [56, 166, 51], [46, 77, 204], [40, 40, 40]], np.uint8)
"""8-bit codes of the fields of a colour picture: red, green, blue, dark grey; shape (4, 3)."""

GREYS: Final = np.array([128, 215, 235, 250], np.uint8)
"""8-bit codes of the fields of the data picture; 128 is 0.502 as data and 0.216 as sRGB."""

CONSTANTS: Final = ((0.8, 0.03, 0.02), (0.03, 0.6, 0.03), (0.02, 0.04, 0.8), (0.18, 0.18, 0.18))
"""Constant base colours, linear Rec.709."""

LAMP_COLOUR: Final = (0.05, 0.15, 1.0)
"""Colour of the lamp by colour, linear Rec.709. With the constants it makes products that tell
AP1 from Rec.2020, whose primaries are close."""
LAMP_SURFACES: Final = (None, 0, 1, 2)
"""What its patches are: white, then constants by number: products of two colours."""

KELVIN: Final = 3200.0
"""Temperature of the lamp by temperature."""
WARM_SURFACES: Final = (None, 3, 0)

SKY: Final = ((6.0, 2.4, 0.72), (0.9, 0.36, 0.108))
"""The environment above and below the horizon behind the card, linear Rec.709."""

_LEANS = np.radians([50.0, 56.0, -24.0, -38.0])
_SIDE = np.radians(120.0)
NORMALS: Final[NDArray[np.float64]] = np.stack(
    (np.sin(_LEANS) * np.cos(_SIDE), np.sin(_LEANS) * np.sin(_SIDE), np.cos(_LEANS)), axis=1
)
"""Normals of the fields of the normal map, green up, shape (4, 3): two lean past the main light,
which green taken as down makes dark; two lean away, so that some stay below white however
bright the picture is."""
NORMAL_CODES: Final = np.rint((NORMALS + 1) / 2 * 255).astype(np.uint8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """One input of the card.

    Parameters
    ----------
    key
        Its name.
    words
        What it is, for people.
    made_as
        The reading it was made for; ``kelvin`` for the lamp by temperature.
    slot
        Slot word.
    path
        The picture, relative to the card; empty for a value.
    """

    key: str
    words: str
    made_as: str
    slot: str
    path: str = ""

    @property
    def colour_picture(self) -> bool:
        """Whether it is a picture of colour."""
        return self.slot == "base_color" and bool(self.path)


_T = "textures"
INPUTS: Final[dict[str, Given]] = {
    given.key: given
    for given in (
        Given(
            key="token_color",
            words="8-bit colour, sRGB by token",
            made_as=SRGB,
            slot="base_color",
            path=f"{_T}/token_color_srgb_rec709_scene.png",
        ),
        Given(
            key="token_ap1_color",
            words="8-bit colour, another space by token",
            made_as="srgb_ap1_scene",
            slot="base_color",
            path=f"{_T}/token_color_srgb_ap1_scene.png",
        ),
        Given(
            key="declared_color",
            words="8-bit colour, sRGB by declaration",
            made_as=SRGB,
            slot="base_color",
            path=f"{_T}/declared_color.png",
        ),
        Given(
            key="untagged_color",
            words="8-bit colour, nothing said",
            made_as=SRGB,
            slot="base_color",
            path=f"{_T}/untagged_color.png",
        ),
        Given(
            key="sixteen_bit_color",
            words="16-bit colour, nothing said",
            made_as=SRGB,
            slot="base_color",
            path=f"{_T}/sixteen_bit_color.png",
        ),
        Given(
            key="profile_srgb_color",
            words="8-bit colour, sRGB by ICC profile",
            made_as=SRGB,
            slot="base_color",
            path=f"{_T}/profile_srgb_color.png",
        ),
        Given(
            key="profile_p3_color",
            words="8-bit colour, Display P3 by ICC profile",
            made_as="srgb_p3d65_scene",
            slot="base_color",
            path=f"{_T}/profile_p3_color.png",
        ),
        Given(
            key="float_color",
            words="float colour, nothing said",
            made_as=LINEAR,
            slot="base_color",
            path=f"{_T}/float_color.exr",
        ),
        Given(
            key="grey_data",
            words="grey data, seen as a mix",
            made_as=DATA,
            slot="metalness",
            path=f"{_T}/mix_metalness.png",
        ),
        Given(
            key="normal_map",
            words="normal map",
            made_as=DATA,
            slot="normal",
            path=f"{_T}/card_normal.png",
        ),
        Given(key="constant", words="constant base colour", made_as=LINEAR, slot="base_color"),
        Given(key="emission", words="constant emission", made_as=LINEAR, slot="emissive"),
        Given(key="light_by_colour", words="light by colour", made_as=LINEAR, slot="light_color"),
        Given(
            key="light_by_temperature",
            words=f"light by temperature, {KELVIN:g} K",
            made_as="kelvin",
            slot="light_color",
        ),
        Given(
            key="environment",
            words="HDR environment",
            made_as=LINEAR,
            slot="environment",
            path=f"{_T}/card_environment.exr",
        ),
    )
}
"""All inputs by key, in the order they are told."""
