"""Witness *header*: what the file says of itself. A reader's default is no statement."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.images.exr import OF_A_PART
from primecoat.images.header import ColourStatement, ImageHeader
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import ENCODED, SRGB_OR_G22, Evidence, encoding_of
from primecoat.reading.policy import Policy


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return every statement, the one that rules as what counts, and what the pixel type tells."""
    header = record.header
    if header is None:
        return ()
    where = Location(record.path, "header")
    evidence = [*_statements(header, use, where, policy)]
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
    header: ImageHeader, use: SceneUse | None, where: Location, policy: Policy
) -> Iterator[Evidence]:
    """Yield the statement that rules, then the others, set aside, each with the reason."""
    ruling = next((s for s in header.statements if _says_something(s)), None)
    for statement in header.statements:
        if statement.kind == OF_A_PART:
            continue
        said = _evidence(statement, header, use, where, policy)
        if statement is ruling:
            yield said
        elif not _says_something(statement):
            yield replace(said, strength=0.0, set_aside="it names no space")
        elif ruling is not None:
            why = f"the {ruling.kind} comes before it"
            if not _contradicts(header, ruling, statement):
                yield replace(said, strength=0.0, set_aside=why)
                continue
            doubt = policy.weight("header", "firm")
            yield replace(said, strength=doubt, set_aside=f"{why}, but they contradict each other")
    yield from _other_parts(header, ruling, where, policy)


def _says_something(statement: ColourStatement) -> bool:
    return statement.firm or statement.reading is not None or bool(statement.among)


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
    elif statement.among:
        claim = next(
            name for name, held in SRGB_OR_G22.items() if set(statement.among) <= set(held)
        )
    else:
        claim = UNKNOWN
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


def _contradicts(header: ImageHeader, ruling: ColourStatement, other: ColourStatement) -> bool:
    """Whether two statements of an OpenEXR file cannot both be true.

    In other formats a standard, or long use, ranks them, and lower ones stand there for old
    readers. OpenEXR writers carry attributes of earlier pictures along; nobody can tell which is
    stale. Chromaticities tell no curve, so only primaries count.
    """
    if header.format != "openexr" or ruling.reading is None or ruling.reading == DATA:
        return False
    if other.reading is None:
        return other.kind == "chromaticities"
    if other.firm or other.reading == DATA:
        return other.reading != ruling.reading
    return SPACES[other.reading].primaries != SPACES[ruling.reading].primaries


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
            set_aside="only the first part is read here",
        )
