"""Witness *header*: what the file says of itself. A reader's default is no statement."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.images.exr import OF_A_PART
from primecoat.images.header import ColourStatement, ImageHeader
from primecoat.images.layers import main_layer
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import ENCODED, Evidence, encoding_of
from primecoat.reading.part_evidence import of_layer
from primecoat.reading.policy import Policy
from primecoat.reading.statements import (
    claim_among,
    contradicts,
    of_channels,
    ruling_statement,
    says_something,
)

_OF_COLOUR = ("colour", "grey")
"""Kinds of layers whose numbers can be colour. In OpenEXR a firm statement about such a one says
that they are, since it could have said ``data``; elsewhere writers stamp it on everything."""


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return every statement, the one that rules as what counts, and what the pixel type tells."""
    header = record.header
    if header is None:
        return ()
    where = Location(record.path, "header")
    layer = main_layer(header)
    if use is None and layer is not None and header.part_headers:
        evidence = [
            *of_layer(record, header, 0, layer, policy),
            *_other_parts(header, ruling_statement(header.statements), where, policy),
        ]
    else:
        of_colour = header.format == "openexr" and layer is not None and layer.kind in _OF_COLOUR
        evidence = [*_statements(header, use, where, policy, of_colour=of_colour)]
        if layer is not None and header.format == "openexr" and layer.kind == "data":
            evidence.append(of_channels(layer, where, policy))
    if use is not None and use.use.slot == "environment" and header.pixel_type == "uint8":
        evidence.append(
            Evidence(
                witness="header",
                claim=ENCODED,
                strength=policy.weight("pixels", "eight_bit"),
                words="The file holds 8 bits a channel: too few for scene-linear light, so it "
                "was encoded for a display.",
                location=where,
                among_colours=True,
            )
        )
    if use is None and header.format in ("png", "jpeg", "webp") and header.pixel_type == "uint8":
        evidence.append(
            Evidence(
                witness="header",
                claim="srgb_rec709_scene",
                strength=policy.weight("priors", "eight_bit_colour_is_srgb"),
                words="Most 8-bit colour pictures of this format are sRGB-encoded Rec.709 "
                "(common practice).",
                location=where,
                among_colours=True,
                prior=True,
            )
        )
    return tuple(evidence)


def _statements(
    header: ImageHeader,
    use: SceneUse | None,
    where: Location,
    policy: Policy,
    *,
    of_colour: bool,
) -> Iterator[Evidence]:
    """Yield the statement that rules, then the others, set aside, each with the reason."""
    ruling = ruling_statement(header.statements)
    for statement in header.statements:
        if statement.kind == OF_A_PART:
            continue
        said = _evidence(statement, header, use, where, policy)
        if statement is ruling:
            tells_kind = of_colour and statement.firm and not said.prior
            yield replace(said, among_colours=said.among_colours and not tells_kind)
        elif not says_something(statement):
            yield replace(said, strength=0.0, set_aside="it names no space")
        elif ruling is not None:
            why = f"the {ruling.kind} comes before it"
            if header.format != "openexr" or not contradicts(ruling, statement):
                yield replace(said, strength=0.0, set_aside=why)
                continue
            doubt = policy.weight("header", "firm")
            yield replace(said, strength=doubt, set_aside=f"{why}, but they contradict each other")
    yield from _other_parts(header, ruling, where, policy)


def _evidence(
    statement: ColourStatement,
    header: ImageHeader,
    use: SceneUse | None,
    where: Location,
    policy: Policy,
) -> Evidence:
    reading = statement.reading
    backplate = use is not None and use.use.slot == "backplate" and reading not in (None, DATA)
    if reading is not None:
        claim = encoding_of(reading) if backplate else reading
    else:
        claim = claim_among(statement) or UNKNOWN
    weight = "firm" if statement.firm else "hint"
    if reading == DATA:
        weight = "hint" if _colour_in_other_part(header) else "data"
    scene_or_display = " It does not say whether scene or display is meant." if backplate else ""
    return Evidence(
        witness="header",
        claim=claim,
        strength=policy.weight("header", weight),
        words=f"The file's own statement ({statement.kind}): {statement.words}.{scene_or_display}",
        location=where,
        among_colours=reading != DATA,
        prior=backplate,
    )


def _colour_in_other_part(header: ImageHeader) -> bool:
    return any(_firm(part.statements) not in (None, DATA) for part in header.part_headers[1:])


def _firm(statements: tuple[ColourStatement, ...]) -> str | None:
    """Return what a part firmly states, or None."""
    return next((s.reading for s in statements if s.firm), None)


def _other_parts(
    header: ImageHeader, ruling: ColourStatement | None, where: Location, policy: Policy
) -> Iterator[Evidence]:
    """Yield, set aside, what later parts state where it differs from the first."""
    own = ruling.reading if ruling is not None and ruling.firm else None
    for number, part in enumerate(header.part_headers[1:], start=1):
        theirs = _firm(part.statements)
        if theirs == own:
            continue
        name = f" ({part.name})" if part.name else ""
        doubtful = theirs not in (None, DATA)
        yield Evidence(
            witness="header",
            claim=theirs or UNKNOWN,
            strength=policy.weight("header", "firm") if doubtful else 0.0,
            words=f"Part {number}{name} of the file states {theirs or 'no space'}.",
            location=where,
            among_colours=theirs != DATA,
            set_aside="the image's reading is that of its first part",
        )
