"""Witness *name*: tokens and words in the file's own name, never in its folders."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, LINEAR, Evidence, is_data
from primecoat.reading.names import split_name, words_of
from primecoat.reading.policy import Policy

CONTENT_WORDS: dict[str, str] = {
    **dict.fromkeys(
        ("color", "colour", "albedo", "diffuse", "basecolor", "diff", "col"), "base_color"
    ),
    **dict.fromkeys(("emissive", "emission", "glow"), "emissive"),
    **dict.fromkeys(("specular",), "specular_color"),
    **dict.fromkeys(("normal", "normals", "nrm", "nor"), "normal"),
    **dict.fromkeys(("roughness", "rough"), "roughness"),
    **dict.fromkeys(("glossiness", "gloss", "smoothness"), "glossiness"),
    **dict.fromkeys(("metalness", "metallic", "metal"), "metalness"),
    **dict.fromkeys(("occlusion", "ao"), "occlusion"),
    **dict.fromkeys(("height", "displacement", "disp", "bump"), "height"),
    **dict.fromkeys(("opacity", "alpha"), "opacity"),
    **dict.fromkeys(("mask", "id"), "mask"),
    **dict.fromkeys(("orm", "arm", "rma"), "packed"),
    **dict.fromkeys(("hdri", "hdr", "environment", "env"), "environment"),
    **dict.fromkeys(("backplate", "plate"), "backplate"),
}
"""Words that practitioners put into file names, and the content they mean (common practice,
no source)."""

_COLOUR_CONTENT = ("base_color", "emissive", "specular_color", "environment", "backplate")


def content_of(words: tuple[str, ...]) -> str:
    """Return the content that the words of a name mean; empty if none, or both kinds, are meant.

    Several kinds of data in one name mean a packed map.

    Examples
    --------
    >>> content_of(("bowl", "normal")), content_of(("jug", "specular", "glossiness"))
    ('normal', '')
    >>> content_of(("brass", "roughness", "metalness"))
    'packed'
    """
    contents = list(dict.fromkeys(CONTENT_WORDS[w] for w in words if w in CONTENT_WORDS))
    kinds = {content in _COLOUR_CONTENT for content in contents}
    if len(kinds) != 1:
        return ""
    if len(contents) > 1 and kinds == {False}:
        return "packed"
    return next((content for content in contents if content != "base_color"), contents[0])


def testify(record: ImageRecord, use: SceneUse | None, policy: Policy) -> tuple[Evidence, ...]:
    """Return what token and words of the name say."""
    if not record.name:
        return ()
    where = Location(record.path, "name")
    parts = split_name(record.name)
    evidence = []
    reading = parts.token_reading
    words = words_of(record.name)
    content = content_of(words)
    if reading is not None:
        doubted = bool(content) and (content in _COLOUR_CONTENT) == is_data(reading)
        evidence.append(
            Evidence(
                witness="name",
                claim=reading,
                strength=policy.weight("name", "word" if doubted else "token"),
                words=f"The name carries the token '{parts.token[1:]}'"
                + (", against another word in it." if doubted else "."),
                location=where,
            )
        )
    if content:
        said = "' and '".join(w for w in words if w in CONTENT_WORDS)
        evidence.append(
            Evidence(
                witness="name",
                claim=COLOUR if content in _COLOUR_CONTENT else DATA,
                strength=policy.weight("name", "word"),
                words=f"The name says '{said}'.",
                location=where,
                content=content,
            )
        )
    for word, claim in (("linear", LINEAR), ("lin", LINEAR), ("srgb", "srgb_rec709_scene")):
        if word in words:
            evidence.append(
                Evidence(
                    witness="name",
                    claim=claim,
                    strength=policy.weight("name", "loose"),
                    words=f"The name says '{word}', which leaves curve or gamut open.",
                    location=where,
                    among_colours=True,
                )
            )
    return tuple(evidence)
