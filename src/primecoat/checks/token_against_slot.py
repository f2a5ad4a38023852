"""PC101: the token in a file's name says another reading than the slot, or the name, needs."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.content_words import content_of
from primecoat.reading.evidence import is_data
from primecoat.reading.names import split_name, words_of
from primecoat.reading.readings import Readings
from primecoat.scenes.model import COLOUR_SLOTS


def _doubted(name: str, said: str) -> bool:
    content = content_of(words_of(name))
    return bool(content) and (content in COLOUR_SLOTS) == is_data(said)


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every image whose token is stale."""
    for image in readings.images:
        parts = split_name(image.record.name)
        said = parts.token_reading
        fixed = [e for e in image.evidence if e.witness in ("slot", "declaration") and not e.prior]
        if said is not None and not image.uses and _doubted(image.record.name, said):
            yield finding(
                "token_contradicts_slot",
                image.record.path,
                f"The name says '{parts.token[1:]}' and, with another word, the contrary.",
                "Say which is right with 'primecoat decide'; the tag route then mends the name.",
            )
            continue
        needs = image.reading
        stale = needs not in (said, "unknown")
        if said is None or not stale or not fixed:
            continue
        yield finding(
            "token_contradicts_slot",
            image.record.path,
            f"The name says '{parts.token[1:]}', but the picture is used as {image.content} "
            f"and must be read as {needs}.",
            "The tag route gives it the right token; until then set the space by hand.",
        )
