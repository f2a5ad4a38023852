"""The colour statement that an embedded ICC profile makes."""

from __future__ import annotations

from functools import lru_cache

from primecoat.images.header import ColourStatement
from primecoat.images.icc import IccFacts, classify_profile


def profile_statement(profile: bytes, *, grey: bool) -> ColourStatement:
    """State what an embedded profile says of a picture.

    Parameters
    ----------
    profile
        The profile's bytes.
    grey
        Whether the picture is stored with one colour channel. A grey profile on an RGB picture,
        or the reverse, does not apply.
    """
    facts = _classified(profile)
    fits = facts.kind not in ("rgb", "grey") or (facts.kind == "grey") == grey
    words = facts.words if fits else f"{facts.words}; it does not fit the picture's channels"
    return ColourStatement(
        kind="ICC profile",
        reading=facts.reading if fits else None,
        firm=fits and facts.kind != "unreadable",
        words=words,
    )


@lru_cache(maxsize=32)
def _classified(profile: bytes) -> IccFacts:
    """Classify a profile; scenes carry the same few profiles thousands of times."""
    return classify_profile(profile)
