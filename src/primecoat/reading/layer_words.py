"""Words in the names of parts and layers that say whether they hold colour or data."""

from __future__ import annotations

import re

from primecoat.reading.content_words import COLOUR_CONTENT, CONTENT_WORDS

_DATA_WORDS = (
    *("depth", "z", "position", "pos", "p", "n", "uv", "st", "vector", "vectors"),
    *("motion", "velocity", "flow", "coverage", "matte", "masks", "ids", "index", "tangent"),
)
_COLOUR_WORDS = (
    *("beauty", "rgb", "rgba", "transmission", "reflection", "refraction", "subsurface"),
    *("sheen", "coat", "background", "light", "lights"),
)
_WORD = re.compile(r"[^._\-: ]+")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")

LAYER_WORDS: dict[str, bool] = {
    **{word: content in COLOUR_CONTENT for word, content in CONTENT_WORDS.items()},
    **dict.fromkeys(_DATA_WORDS, False),
    **dict.fromkeys(_COLOUR_WORDS, True),
}
"""Words that practitioners give to layers, and whether colour is meant (common practice, no
source)."""


def layer_words(name: str) -> tuple[str, ...]:
    """Return the known words of a part's or layer's name; none if both kinds are meant.

    Examples
    --------
    >>> layer_words("teapot.surfaceNormal"), layer_words("normal_colour"), layer_words("beautyId")
    (('normal',), (), ())
    """
    words = [part.lower() for word in _WORD.findall(name) for part in _HUMP.split(word)]
    known = tuple(dict.fromkeys(word for word in words if word in LAYER_WORDS))
    return known if len({LAYER_WORDS[word] for word in known}) == 1 else ()
