"""What a file says of one layer of one of its parts, and what speaks for all of its parts.

Source of the order: ASWF Color Interop Forum, *Identifying the Color Space of OpenEXR Files*
v1.0.0: container flag, ``colorInteropID`` of the part, chromaticities as a hint. An ID is about the
colour channels of its part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.images.header import ColourStatement, ImageHeader, PartHeader
from primecoat.images.layers import Layer
from primecoat.inventory import ImageRecord
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, Evidence, is_data
from primecoat.reading.layer_words import LAYER_WORDS, layer_words
from primecoat.reading.names import split_name
from primecoat.reading.policy import Policy
from primecoat.reading.statements import (
    claim_among,
    contradicts,
    counted_channels,
    is_shared,
    of_channels,
    ruling_statement,
    says_something,
)

_NO_COLOUR = "it is about colour, and these channels are not named as colour is"
_NEARER = "the part's own statement is nearer"
_SHARED = "all parts hold the same chromaticities, and they are those of one that states its space"
_OWN = "The part's own statement"
_CONTAINER = "ACES container flag"


def testify(
    record: ImageRecord, header: ImageHeader, index: int, layer: Layer, policy: Policy
) -> tuple[Evidence, ...]:
    """Return everything said about one layer that is not the main one.

    Parameters
    ----------
    record
        The image, whose name may carry a token.
    header
        Its header, with the part's own among ``part_headers``.
    index
        Number of the part.
    layer
        The layer.
    policy
        The weights.
    """
    said = of_layer(record, header, index, layer, policy)
    own = next((e for e in said if e.words.startswith(_OWN) and _is_firm(e, policy)), None)
    whole = _of_file(record, header, layer, policy)
    return (
        *said,
        *(_beside(e, own, policy) if own else e for e in whole),
        *(_rivals(record, header, index, own, policy) if own else ()),
    )


def of_layer(
    record: ImageRecord, header: ImageHeader, index: int, layer: Layer, policy: Policy
) -> tuple[Evidence, ...]:
    """Return what a part itself says of one of its layers; parameters as in :func:`testify`."""
    part, where = header.part_headers[index], Location(record.path, "header")
    words = _words(part, layer)
    says_data = bool(words) and not LAYER_WORDS[words[0]]
    evidence: list[Evidence] = []
    if layer.kind == "data":
        evidence.append(of_channels(layer, where, policy))
    if words:
        evidence.append(_of_words(words, where, policy))
    firm = header.format == "openexr" and not says_data
    stated = [*_of_statements(header, part, layer, firm, where, policy)]
    evidence += stated
    if layer.kind == "colour":
        told = any(_is_firm(e, policy) and not e.among_colours for e in stated)
        why = "the name says data" if says_data else _NEARER if told else ""
        evidence.append(_of_colour_names(layer, why, where, policy))
    return tuple(evidence)


def _is_firm(said: Evidence, policy: Policy) -> bool:
    return not said.set_aside and said.strength > policy.weight("header", "hint")


def _words(part: PartHeader, layer: Layer) -> tuple[str, ...]:
    """Return the telling words of the layer's own name, else of its part's."""
    loose = layer.channels[0] if layer.kind == "open" and not layer.name else ""
    return next((w for n in (layer.name, loose, part.name) if n and (w := layer_words(n))), ())


def _of_words(words: tuple[str, ...], where: Location, policy: Policy) -> Evidence:
    said = "' and '".join(words)
    return Evidence(
        witness="header",
        claim=COLOUR if LAYER_WORDS[words[0]] else DATA,
        strength=policy.weight("name", "word"),
        words=f"The name of the part or layer says '{said}'.",
        location=where,
    )


def _of_colour_names(layer: Layer, set_aside: str, where: Location, policy: Policy) -> Evidence:
    """Return the claim of names such as R, G and B, which vectors are often given too."""
    return Evidence(
        witness="header",
        claim=COLOUR,
        strength=0.0 if set_aside else policy.weight("name", "word"),
        words=f"{counted_channels(layer)} are named as colour is.",
        location=where,
        set_aside=set_aside,
    )


def _of_statements(
    header: ImageHeader,
    part: PartHeader,
    layer: Layer,
    firm: bool,
    where: Location,
    policy: Policy,
) -> Iterator[Evidence]:
    """Yield the part's own statement that rules, then the others, set aside.

    A firm one of OpenEXR says that the channels are colour too, since it could have said ``data``.
    """
    ruling = ruling_statement(part.statements)
    for statement in part.statements:
        said = _statement(statement, firm, where, policy)
        if statement.reading != DATA and layer.kind in ("data", "open"):
            yield replace(said, strength=0.0, set_aside=_NO_COLOUR)
        elif statement is ruling:
            yield said
        elif ruling is None or not says_something(statement):
            yield replace(said, strength=0.0, set_aside="it names no space")
        elif is_shared(statement, header.part_headers):
            yield replace(said, strength=0.0, set_aside=_SHARED)
        elif header.format == "openexr" and contradicts(ruling, statement):
            why = f"the {ruling.kind} comes before it, but they contradict each other"
            yield replace(said, strength=policy.weight("header", "firm"), set_aside=why)
        else:
            yield replace(said, strength=0.0, set_aside=f"the {ruling.kind} comes before it")


def _statement(statement: ColourStatement, firm: bool, where: Location, policy: Policy) -> Evidence:
    data = statement.reading == DATA
    claim = statement.reading or claim_among(statement) or UNKNOWN
    weight = "data" if data else "firm" if statement.firm else "hint"
    return Evidence(
        witness="header",
        claim=claim,
        strength=policy.weight("header", weight),
        words=f"{_OWN} ({statement.kind}): {statement.words}.",
        location=where,
        among_colours=not data and not (firm and statement.firm and claim != UNKNOWN),
    )


def _of_file(
    record: ImageRecord, header: ImageHeader, layer: Layer, policy: Policy
) -> Iterator[Evidence]:
    """Yield what speaks for every part: the container's flag, and a token in the file's name."""
    strength = policy.weight("header", "container")
    colour = layer.kind in ("colour", "grey")
    flag = next((s for s in header.part_headers[0].statements if s.kind == _CONTAINER), None)
    if flag is not None and flag.reading is not None and colour:
        yield Evidence(
            witness="header",
            claim=flag.reading,
            strength=strength,
            words=f"The file's container states it ({flag.words}).",
            location=Location(record.path, "header"),
        )
    name = split_name(record.name)
    if name.token_reading is not None and (colour or is_data(name.token_reading)):
        yield Evidence(
            witness="name",
            claim=name.token_reading,
            strength=strength,
            words=f"The file's name carries the token '{name.token[1:]}'.",
            location=Location(record.path, "name"),
        )


def _rivals(
    record: ImageRecord, header: ImageHeader, index: int, own: Evidence, policy: Policy
) -> Iterator[Evidence]:
    """Yield, set aside, each other space that another part firmly states: a doubt for both."""
    met = {own.claim, DATA}
    for number, part in enumerate(header.part_headers):
        theirs = ruling_statement(part.statements)
        if number == index or theirs is None or not theirs.firm or theirs.reading is None:
            continue
        if theirs.reading in met or is_data(own.claim):
            continue
        met.add(theirs.reading)
        name = f" ({part.name})" if part.name else ""
        yield Evidence(
            witness="header",
            claim=theirs.reading,
            strength=policy.weight("header", "firm"),
            words=f"Part {number}{name} of the file states {theirs.reading}.",
            location=Location(record.path, "header"),
            among_colours=True,
            set_aside="this part states its space itself",
        )


def _beside(said: Evidence, own: Evidence, policy: Policy) -> Evidence:
    """Set aside what the file says where the part says something itself; the flag raises doubts."""
    doubtful = said.witness == "header" and not is_data(own.claim) and own.claim != said.claim
    strength = policy.weight("header", "firm") if doubtful else 0.0
    return replace(said, strength=strength, set_aside=_NEARER)
