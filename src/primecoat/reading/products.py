"""Textures that a scene multiplies by a tint: what no conversion of each by itself keeps exact."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from primecoat.colour.ids import SPACES
from primecoat.colour.products import Residual, product_residual
from primecoat.inventory import Inventory
from primecoat.location import Location
from primecoat.reading.colours import ColourReading, Triple
from primecoat.scenes.model import Scene

_ALIKE = 1e-6
"""Channels that differ by no more make a grey tint, which leaves nothing over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourProduct:
    """One picture times one tint, in one slot of one owner.

    Parameters
    ----------
    image
        The picture's reference as the scene writes it.
    factor
        The tint, in its own linear space.
    location
        Where the tint stands.
    residual
        Relative errors left over if picture and tint are each converted to the working space.
    """

    scene: Scene
    owner: str
    slot: str
    image: str
    factor: Triple
    location: Location
    residual: Residual


def find_products(
    inventory: Inventory, colours: tuple[ColourReading, ...], to_space: str, config: str
) -> tuple[ColourProduct, ...]:
    """Return every picture that meets a coloured tint in its slot.

    Grey tints, negative ones, and tints whose space is unknown or not linear are left out: the
    first leave nothing over, and of the others nothing can be stated.
    """
    tints = {
        (c.scene.name, c.value.owner, c.value.slot): c
        for c in colours
        if _is_tint(c) and c.value.maximum is None
    }
    found = []
    for scene in inventory.scenes:
        for use in scene.uses:
            tint = tints.get((scene.name, use.owner, use.slot))
            if tint is None or "rgb" not in use.channels:
                continue
            found.append(
                ColourProduct(
                    scene=scene,
                    owner=use.owner,
                    slot=use.slot,
                    image=scene.references[use.reference].text,
                    factor=tint.value.value,
                    location=tint.value.location,
                    residual=_residual(tint.value.value, tint.reading, to_space, config),
                )
            )
    return tuple(found)


def _is_tint(colour: ColourReading) -> bool:
    values = colour.value.value
    known = colour.reading in SPACES and SPACES[colour.reading].linear
    return known and min(values) >= 0.0 and max(values) - min(values) > _ALIKE


@lru_cache(maxsize=4096)
def _residual(factor: Triple, source: str, target: str, config: str) -> Residual:
    return product_residual(factor, source, target, config=config)
