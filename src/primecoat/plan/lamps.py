"""Lights with a colour and a temperature: the product is written, the temperature switched off.

What another program makes of a temperature in a new working space is not known: its table may be
that of Rec.709. A product that is written, in a space that is said beside it, means one thing.
"""

from __future__ import annotations

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.colour.lamp import TEMPERATURE_SPACE, lamp_rgb
from primecoat.plan.draft import Draft
from primecoat.reading.colours import ColourReading
from primecoat.scenes.registry import FORMATS


def is_lamp(colour: ColourReading) -> bool:
    """Whether a value is a light whose colour a temperature multiplies."""
    return colour.value.kelvin is not None and colour.value.fixed is None


def write_lamp(draft: Draft, colour: ColourReading, space: str) -> None:
    """Add the edits that write a light's product; see :func:`is_lamp`.

    Nothing is done where neither the working space nor the colour's own space changes and the
    space is that of the temperatures' table.

    Parameters
    ----------
    space
        Linear space to write the product in.
    """
    value, module = colour.value, FORMATS[colour.scene.format]
    place, declared_at, switch = value.written_at, value.declared_at, value.switch
    if colour.reading in (UNKNOWN, DATA):
        return  # the finding on its colour space says what to do
    if place is None or declared_at is None or switch is None:
        draft.hold(
            str(value.location),
            "Its colour is multiplied by that of a temperature, and their product cannot be "
            "written: one of them is connected, or the temperature is switched on and off by time, "
            "or it stands in a variant and the colour outside.",
            "Set the colour of this light by hand.",
        )
        return
    same = {colour.made_in, draft.readings.to_space, colour.reading, TEMPERATURE_SPACE}
    if len(same) == 1:
        return
    name = module.space_name(space)
    if not name:
        draft.hold(
            str(value.location),
            f"{module.STANDARD} has no name for {space}.",
            "Choose another --to, or --from where the space the scene was made in is meant.",
        )
        return
    colours, kelvins = zip(*value.samples, strict=True)
    if len(value.samples) == 1:
        config = draft.readings.config
        rows = lamp_rgb(colours, kelvins, colour.reading, colour.made_in, space, config)
        red, green, blue = rows[0].tolist()
        after = module.colour_text(value.written, [(red, green, blue)])
        draft.edit(colour.scene, place.place, value.written, after)
    else:
        product = place.place.removesuffix("/values") + "/product"
        draft.edit(colour.scene, product, f"{colour.reading} {colour.made_in}", space)
    draft.edit(colour.scene, switch.place, switch.before, switch.after)
    draft.edit(colour.scene, declared_at.place, value.declared or "", name)
