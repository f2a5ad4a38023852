"""Words in file names that say what a picture shows."""

from __future__ import annotations

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

COLOUR_CONTENT = ("base_color", "emissive", "specular_color", "environment", "backplate")


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
    kinds = {content in COLOUR_CONTENT for content in contents}
    if len(kinds) != 1:
        return ""
    if len(contents) > 1 and kinds == {False}:
        return "packed"
    return next((content for content in contents if content != "base_color"), contents[0])
