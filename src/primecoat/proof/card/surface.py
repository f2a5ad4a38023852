"""What each surface of the card is made of, for all scene formats."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.card.inputs import CONSTANTS, INPUTS, LAMP_SURFACES, WARM_SURFACES
from primecoat.proof.card.layout import EMISSIONS, SURFACES, Patch, corners, plates

Triple = tuple[float, float, float]

WHITE: Final[Triple] = (1.0, 1.0, 1.0)
BLACK: Final[Triple] = (0.0, 0.0, 0.0)

UVS: Final = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
"""Texture coordinates of the corners, (0, 0) lower left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A material: matt, with an index of refraction of 1, so that nothing is mirrored.

    Parameters
    ----------
    name
        Name of the material.
    base
        Constant base colour, where no picture gives it.
    given
        Key of the input whose picture it takes; empty for none.
    emission
        Neutral emission.
    """

    name: str
    base: Triple = WHITE
    given: str = ""
    emission: float = 0.0

    @property
    def path(self) -> str:
        """The picture; empty for none."""
        return INPUTS[self.given].path if self.given else ""

    @property
    def slot(self) -> str:
        """Slot of the picture; empty for none."""
        return INPUTS[self.given].slot if self.given else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quad:
    """One flat square or bar: name, material and corners (4, 3), counter-clockwise."""

    name: str
    surface: Surface
    corners: NDArray[np.float64]


def quads() -> Iterator[Quad]:
    """Yield every surface of the card."""
    white, black = Surface(name="white"), Surface(name="black", base=BLACK)
    for name, left, right, low, high, z in plates():
        ends = np.array([(left, low, z), (right, low, z), (right, high, z), (left, high, z)])
        yield Quad(name=name, surface=white if name.startswith("frame") else black, corners=ends)
    for patch in SURFACES:
        yield Quad(name=f"patch_{patch.name}", surface=surface_of(patch), corners=corners(patch))


def surface_of(patch: Patch) -> Surface:
    """Return the material of a patch."""
    number = _number(patch)
    if patch.given == "emission":
        name = f"emission_{number}"
        return Surface(name=name, base=BLACK, emission=EMISSIONS[number])
    if patch.given == "constant":
        return Surface(name=f"constant_{number}", base=CONSTANTS[number])
    if patch.group in ("lamp", "warm"):
        which = (LAMP_SURFACES if patch.group == "lamp" else WARM_SURFACES)[number]
        if which is not None:
            return Surface(name=f"constant_{which}", base=CONSTANTS[which])
    if patch.given in INPUTS and INPUTS[patch.given].path:
        return Surface(name=patch.given, given=patch.given)
    return Surface(name="white")


def _number(patch: Patch) -> int:
    last = patch.name.rpartition("_")[2]
    return int(last) if last.isdigit() else 0
