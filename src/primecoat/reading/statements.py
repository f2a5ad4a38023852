"""What statements in a header, and names of channels, are worth: which rules, which contradicts."""

from __future__ import annotations

from primecoat.colour.ids import DATA, SPACES
from primecoat.images.header import ColourStatement, PartHeader
from primecoat.images.layers import INTEGERS, Layer
from primecoat.location import Location
from primecoat.reading.evidence import SRGB_OR_G22, Evidence
from primecoat.reading.policy import Policy


def ruling_statement(statements: tuple[ColourStatement, ...]) -> ColourStatement | None:
    """Return the first statement that says something, which comes before the others."""
    return next((s for s in statements if says_something(s)), None)


def says_something(statement: ColourStatement) -> bool:
    """Whether a statement narrows the reading at all."""
    return statement.firm or statement.reading is not None or bool(statement.among)


def of_channels(layer: Layer, where: Location, policy: Policy) -> Evidence:
    """Return what names or types of channels say that no colour has."""
    whole = layer.pixel_types[0] in INTEGERS
    said = "holds" if len(layer.channels) == 1 else "hold"
    why = f"{said} whole numbers" if whole else f"{said} numbers that are no colour, by name"
    return Evidence(
        witness="header",
        claim=DATA,
        strength=policy.weight("header", "data"),
        words=f"{counted_channels(layer)} {why}.",
        location=where,
    )


def counted_channels(layer: Layer) -> str:
    """Return the channels of a layer as the subject of a sentence."""
    one = len(layer.channels) == 1
    return f"The channel{'' if one else 's'} {', '.join(layer.channels)}"


def contradicts(ruling: ColourStatement, other: ColourStatement) -> bool:
    """Whether two statements of one part of an OpenEXR file cannot both be true.

    In other formats a standard, or long use, ranks them, and lower ones stand there for old
    readers. OpenEXR writers carry attributes of earlier pictures along; nobody can tell which is
    stale. Chromaticities tell no curve, so only primaries count.
    """
    if ruling.reading is None or ruling.reading == DATA:
        return False
    if other.reading is None:
        return other.kind == "chromaticities"
    if other.firm or other.reading == DATA:
        return other.reading != ruling.reading
    return SPACES[other.reading].primaries != SPACES[ruling.reading].primaries


def is_shared(statement: ColourStatement, parts: tuple[PartHeader, ...]) -> bool:
    """Whether chromaticities are those of another part with a firm statement.

    All parts of an OpenEXR file hold the same chromaticities, whatever each of them states.
    Source: OpenEXR *Technical Introduction*, "Shared attributes".
    """
    rulings = [ruling_statement(part.statements) for part in parts]
    return statement.kind == "chromaticities" and any(
        ruling is not None
        and ruling.firm
        and ruling.reading not in (None, DATA)
        and not contradicts(ruling, statement)
        for ruling in rulings
    )


def claim_among(statement: ColourStatement) -> str | None:
    """Return the claim of a statement that leaves two curves open, or None."""
    if not statement.among:
        return None
    held = (name for name, ids in SRGB_OR_G22.items() if {*statement.among} <= {*ids})
    return next(held, None)
