"""Witness *slot*: what the place where an image plugs in says about it."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, LINEAR, Evidence
from primecoat.reading.policy import Policy
from primecoat.scenes.model import DATA_SLOTS, SLOTS

_KINDS = {DATA: "numbers that are no colour", COLOUR: "colour"}


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return what the slot says; nothing without a use, or where nobody knows the slot."""
    if use is None or use.use.slot not in SLOTS:
        return ()
    slot, where = use.use.slot, use.use.location
    if "rgb" not in use.use.channels and use.use.channels == "a":
        return (_alpha(slot, where, policy),)
    if use.use.fixed is not None:
        return (
            Evidence(
                witness="slot",
                claim=use.use.fixed,
                strength=policy.weight("slot", "fixed"),
                words=f"{use.use.standard} fixes how a picture in the {slot} slot is read: "
                f"{use.use.fixed}.",
                location=where,
                content=slot,
            ),
        )
    kind = DATA if slot in DATA_SLOTS else COLOUR
    evidence = [
        Evidence(
            witness="slot",
            claim=kind,
            strength=policy.weight("slot", "kind"),
            words=f"The {slot} slot takes {_KINDS[kind]}.",
            location=where,
            content=slot,
        )
    ]
    if slot == "environment":
        evidence += _environment(record, where, policy)
    elif kind == COLOUR and slot != "backplate":
        evidence += _integer_prior(record, where, policy)
    return tuple(evidence)


def _alpha(slot: str, where: Location, policy: Policy) -> Evidence:
    return Evidence(
        witness="slot",
        claim=DATA,
        strength=policy.weight("slot", "fixed"),
        words=f"The {slot} slot takes the alpha channel, which is never colour.",
        location=where,
        content=slot,
    )


def _environment(record: ImageRecord, where: Location, policy: Policy) -> list[Evidence]:
    evidence = [
        Evidence(
            witness="slot",
            claim=LINEAR,
            strength=policy.weight("slot", "environment"),
            words="An environment gives light, so its numbers are scene-linear.",
            location=where,
            among_colours=True,
        )
    ]
    header = record.header
    if header is not None and not header.integer:
        evidence.append(
            Evidence(
                witness="slot",
                claim="lin_rec709_scene",
                strength=policy.weight("priors", "environment_is_linear_rec709"),
                words="Most high-range environments are linear with Rec.709 primaries "
                "(common practice).",
                location=where,
                among_colours=True,
                prior=True,
            )
        )
    return evidence


def _integer_prior(record: ImageRecord, where: Location, policy: Policy) -> list[Evidence]:
    header = record.header
    names = {"uint8": "eight_bit_colour_is_srgb", "uint16": "sixteen_bit_colour_is_srgb"}
    if header is None or header.pixel_type not in names:
        return []
    bits = header.pixel_type.removeprefix("uint")
    return [
        Evidence(
            witness="slot",
            claim="srgb_rec709_scene",
            strength=policy.weight("priors", names[header.pixel_type]),
            words=f"Most {bits}-bit pictures in a colour slot are sRGB-encoded Rec.709 "
            "(common practice).",
            location=where,
            among_colours=True,
            prior=True,
        )
    ]
