"""Products and other work on colours that no conversion of each by itself keeps exact.

Textures that a scene multiplies by a tint, and the nodes between textures and shaders.
"""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import SPACES, UNKNOWN, reading_named
from primecoat.colour.ocio import kept_by_config
from primecoat.colour.operation_residual import LeftOver, commutes_anyway, left_over
from primecoat.colour.products import REFLECTANCES, Residual, product_residual
from primecoat.inventory import Inventory
from primecoat.location import Location
from primecoat.reading.colours import ColourReading, Triple
from primecoat.scenes.model import ColourOperation, Scene

_WITH_NODES = ("materialx", "usd")
"""Formats that name the node that multiplies: there a colour in a picture's slot is no tint yet,
but may be mixed in, or stand in for a picture that is missing."""

_ALIKE = 1e-6
"""Channels that differ by no more make a grey tint, which leaves nothing over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourProduct:
    """One picture times one tint, or other work on colours, in one slot of one owner.

    Parameters
    ----------
    image
        The pictures' references as the scene writes them, parted by commas; empty if there is none.
    operation
        What is done: ``tint``, or the category of the node that does it.
    why
        Why converting each colour by itself does not keep it exact.
    factor
        The tint, in its own linear space; None for other work.
    location
        Where the tint or the node stands.
    residual
        Relative errors left over if each colour is converted to the working space; None if no
        figure can be given.
    over
        The colours that the errors are stated over.
    unknown
        Why no figure can be given; empty if there is one.
    """

    scene: Scene
    owner: str
    slot: str
    image: str
    operation: str
    why: str
    factor: Triple | None
    location: Location
    residual: Residual | None
    over: str = ""
    unknown: str = ""


def find_products(
    inventory: Inventory,
    colours: tuple[ColourReading, ...],
    to_space: str,
    config: str,
    from_space: str = UNKNOWN,
) -> tuple[ColourProduct, ...]:
    """Return every picture that meets a coloured tint in its slot, and all other such work.

    What commutes with the change of working space is left out, and so is everything where there
    is no change.

    Parameters
    ----------
    from_space, to_space
        Working space that the scenes were made in, where they do not say it, and the new one.
    """
    tinted = _tinted(inventory, colours, to_space, config)
    worked = (
        product
        for scene in inventory.scenes
        for operation in scene.operations
        if (product := _worked(scene, operation, from_space, to_space, config)) is not None
    )
    return (*tinted, *worked)


def _worked(
    scene: Scene, found: ColourOperation, from_space: str, to_space: str, config: str
) -> ColourProduct | None:
    """Return work on colours with what it leaves over; None if that is nothing."""
    said = (reading_named(scene.working) or UNKNOWN) if scene.working else UNKNOWN
    source = next((s for s in (said, from_space, found.default) if s and s != UNKNOWN), UNKNOWN)
    if source not in SPACES or not SPACES[source].linear:
        if commutes_anyway(found.operation, config):
            return None
        words = "unknown" if source == UNKNOWN else f"{source}, which is not linear"
        left = LeftOver(unknown=f"the working space that the scene was made in is {words}")
    else:
        known = left_over(found.operation, source, to_space, config)
        if known is None:
            return None
        left = known
    return ColourProduct(
        scene=scene,
        owner=found.owner,
        slot=found.slot,
        image=", ".join(found.images),
        operation=found.operation.kind,
        why=found.why,
        factor=None,
        location=found.location,
        residual=left.residual,
        over=left.over,
        unknown=left.unknown,
    )


def _tinted(
    inventory: Inventory, colours: tuple[ColourReading, ...], to_space: str, config: str
) -> tuple[ColourProduct, ...]:
    """Return every picture that meets a coloured tint in its slot, in formats without nodes.

    Grey tints, negative ones, and tints whose space is unknown or not linear are left out: the
    first leave nothing over, and of the others nothing can be stated.
    """
    tints = {
        (c.scene.name, c.value.owner, c.value.slot): c
        for c in colours
        if c.scene.format not in _WITH_NODES and _is_tint(c) and c.value.maximum is None
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
                    operation="tint",
                    why="two colours are multiplied channel by channel",
                    factor=tint.value.value,
                    location=tint.value.location,
                    residual=_residual(tint.value.value, tint.reading, to_space, config),
                    over=REFLECTANCES,
                )
            )
    return tuple(found)


def _is_tint(colour: ColourReading) -> bool:
    values = colour.value.value
    known = colour.reading in SPACES and SPACES[colour.reading].linear
    return known and min(values) >= 0.0 and max(values) - min(values) > _ALIKE


@kept_by_config(most=4096)
def _residual(factor: Triple, source: str, target: str, config: str) -> Residual:
    return product_residual(factor, source, target, config=config)
