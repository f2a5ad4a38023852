"""The inputs of the card as a scene sheet."""

from __future__ import annotations

from primecoat.demo.sheet import SheetRow, sheet_text
from primecoat.proof.card.inputs import CONSTANTS, INPUTS, LAMP_COLOUR, LINEAR
from primecoat.proof.card.layout import EMISSIONS

FILE = "card.csv"
CANNOT = (
    "shapes, camera, and how bright and from where lights are: a sheet lists uses",
    "a light by temperature: a sheet has three numbers a light",
)
"""What of the card a sheet does not express."""

_DECLARED = ("declared_color", "grey_data", "normal_map", "environment")


def card_sheet() -> str:
    """Return the sheet; only what is declared has a space."""
    pictures = tuple(
        SheetRow(
            path=given.path,
            owner=given.key,
            slot=given.slot,
            channels="r" if given.slot == "metalness" else "rgb",
            space=given.made_as if given.key in _DECLARED else "",
        )
        for given in INPUTS.values()
        if given.path
    )
    colours = (
        *((f"constant_{n}", "base_color", value) for n, value in enumerate(CONSTANTS)),
        *((f"emission_{n}", "emissive", (value,) * 3) for n, value in enumerate(EMISSIONS)),
        ("lamp_light", "light_color", LAMP_COLOUR),
    )
    return sheet_text(
        (
            *pictures,
            *(
                SheetRow(
                    owner=owner,
                    slot=slot,
                    channels="rgb",
                    space=LINEAR,
                    value=" ".join(f"{v:g}" for v in value),
                )
                for owner, slot, value in colours
            ),
        )
    )
