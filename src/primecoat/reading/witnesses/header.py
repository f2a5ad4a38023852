"""Witness *header*: what the file says of itself. A reader's default is no statement."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import ENCODED, Evidence, encoding_of
from primecoat.reading.policy import Policy


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return the statement that rules, and what the pixel type tells."""
    header = record.header
    if header is None:
        return ()
    where = Location(record.path, "header")
    evidence = []
    ruling = next((s for s in header.statements if s.firm or s.reading is not None), None)
    if ruling is not None and ruling.reading is not None:
        backplate = use is not None and use.use.slot == "backplate"
        to_data = ruling.reading == DATA
        weight = "data" if to_data else "firm" if ruling.firm else "hint"
        evidence.append(
            Evidence(
                witness="header",
                claim=encoding_of(ruling.reading) if backplate and not to_data else ruling.reading,
                strength=policy.weight("header", weight),
                words=f"The file's own statement ({ruling.kind}): {ruling.words}."
                + (" It does not say whether scene or display is meant." if backplate else ""),
                location=where,
                among_colours=not to_data,
                prior=backplate,
            )
        )
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
