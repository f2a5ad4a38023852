"""A scene or folder, read: its stock together with how everything in it must be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from primecoat.colour.ids import UNKNOWN, reading_named
from primecoat.house import NO_HOUSE, House
from primecoat.inventory import Inventory
from primecoat.reading.asked import NOTHING_ASKED, Again, Asked
from primecoat.reading.colours import ColourReading, read_colours
from primecoat.reading.decisions import read_decisions
from primecoat.reading.judge import read_images
from primecoat.reading.judgement import ImageReading
from primecoat.reading.products import ColourProduct, find_products


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Everything known about one target.

    Parameters
    ----------
    from_space, to_space
        Working space the scene was made in (``unknown`` if nothing says) and that it moves to.
    config
        OpenColorIO config that does the colour maths.
    house
        Conventions of the house, as they hold in this run.
    asked
        Options that the person gave.
    """

    inventory: Inventory
    images: tuple[ImageReading, ...]
    colours: tuple[ColourReading, ...]
    lights: tuple[ColourReading, ...]
    products: tuple[ColourProduct, ...] = ()
    from_space: str
    to_space: str
    config: str
    house: House = NO_HOUSE
    asked: Asked = NOTHING_ASKED

    @property
    def again(self) -> Again:
        """The target and its options, as advice names them."""
        return Again(target=self.inventory.target, asked=self.asked)


def read_all(
    inventory: Inventory,
    *,
    from_space: str | None,
    to_space: str,
    config: str,
    without: frozenset[str] = frozenset(),
    before: Sequence[ImageReading] = (),
    house: House = NO_HOUSE,
    asked: Asked = NOTHING_ASKED,
) -> Readings:
    """Read every image, colour and light of an inventory.

    Parameters
    ----------
    from_space
        What the user says the scene was made in; by default what its standard says.
    without
        Witnesses to leave unheard.
    before
        As for :func:`primecoat.reading.judge.read_images`.
    house
        Conventions of the house.
    asked
        Options that the person gave.
    """
    made_in = from_space or _from_evidence(inventory)
    decisions = {} if "person" in without else read_decisions(inventory.home)
    scenes = inventory.scenes
    colours = read_colours(scenes, from_space=made_in, to_space=to_space, config=config)
    return Readings(
        inventory=inventory,
        images=read_images(inventory, decisions, without=without, before=before, house=house),
        colours=colours,
        products=find_products(inventory, colours, to_space, config, made_in),
        lights=read_colours(
            scenes, from_space=made_in, to_space=to_space, config=config, lights=True
        ),
        from_space=made_in,
        to_space=to_space,
        config=config,
        house=house,
        asked=asked,
    )


def _from_evidence(inventory: Inventory) -> str:
    """Return the one working space that all scenes name or their standards fix, else unknown."""
    found = set()
    for scene in inventory.scenes:
        values = (*scene.colours, *scene.lights)
        named = reading_named(scene.working) if scene.working else None
        if named:
            found.add(named)
        elif values:
            found |= {value.fixed or UNKNOWN for value in values}
    return found.pop() if len(found) == 1 else UNKNOWN
