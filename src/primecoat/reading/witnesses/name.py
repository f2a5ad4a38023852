"""Witness *name*: tokens and words in the file's own name, never in its folders."""

from __future__ import annotations

from primecoat.colour.ids import DATA
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.location import Location
from primecoat.reading.content_words import COLOUR_CONTENT, CONTENT_WORDS, content_of
from primecoat.reading.evidence import COLOUR, LINEAR, Evidence, is_data
from primecoat.reading.names import split_name, words_of
from primecoat.reading.policy import Policy


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
        doubted = bool(content) and (content in COLOUR_CONTENT) == is_data(reading)
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
                claim=COLOUR if content in COLOUR_CONTENT else DATA,
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
