"""The parts of a file's own name: stem, token, placeholder, ending.

A token counts only as a whole, delimited part at the end of the stem, before a placeholder, a
UDIM or a frame number; ``raw`` inside ``strawberry`` is no token.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from primecoat.colour.ids import NAMES

DELIMITERS = "._- "
"""Characters that part the words of a name (common practice, no source)."""

_TAIL = re.compile(
    r"(?P<tail>(?:[._-](?:<UDIM>|<UVTILE>|u\d+_v\d+|#+|%0\dd|\d{3,7}))*)(?P<ending>\.[^.]*)?\Z",
    re.IGNORECASE | re.ASCII,
)
TOKENS = tuple(name for name in NAMES if name != "identity")
"""Every token, lower case. ``identity`` names data in scene files; in a file name it may be that of
a firm."""

_WORD = re.compile(r"[^._\- ]+")
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True, slots=True)
class ImageName:
    """A file name in parts; joined in order they give the name again.

    Parameters
    ----------
    stem
        What the picture is called.
    token
        Delimiter and token; empty if there is none.
    tail
        Placeholder, tile or frame number with its delimiter; empty if there is none.
    ending
        Suffix with its dot.
    """

    stem: str
    token: str
    tail: str
    ending: str

    @property
    def token_reading(self) -> str | None:
        """The reading that the token says."""
        return NAMES.get(self.token[1:].lower()) if self.token else None

    @property
    def token_is_id(self) -> bool:
        """Whether the token is the Color Interop ID itself, not another name for it."""
        return bool(self.token) and self.token[1:].lower() == self.token_reading


@lru_cache(maxsize=65536)
def split_name(name: str) -> ImageName:
    """Split a file name into its parts.

    Examples
    --------
    >>> split_name("tray_color_srgb_rec709_scene.<UDIM>.png")
    ImageName(stem='tray_color', token='_srgb_rec709_scene', tail='.<UDIM>', ending='.png')
    >>> split_name("strawberry_jam.png").token
    ''
    """
    match = _TAIL.search(name)
    tail, ending = (match["tail"], match["ending"] or "") if match else ("", "")
    body = name[: len(name) - len(tail) - len(ending)]
    token = _token_at_end(body)
    return ImageName(body[: len(body) - len(token)], token, tail, ending)


def tagged_name(name: str, reading: str, ending: str | None = None) -> str:
    """Return the name with the token of a reading; an existing token is replaced.

    Examples
    --------
    >>> tagged_name("bowl_color.png", "srgb_rec709_scene")
    'bowl_color_srgb_rec709_scene.png'
    >>> tagged_name("saucer_rough_srgb_texture.1001.png", "data")
    'saucer_rough_data.1001.png'
    """
    parts = split_name(name)
    delimiter = parts.token[:1] or "_"
    return f"{parts.stem}{delimiter}{reading}{parts.tail}{ending or parts.ending}"


@lru_cache(maxsize=65536)
def words_of(name: str) -> tuple[str, ...]:
    """Return the delimited words of the stem, lower case; ``baseColor`` gives two.

    Examples
    --------
    >>> words_of("bowl_baseColor.png")
    ('bowl', 'base', 'color')
    """
    stem = split_name(name).stem
    return tuple(part.lower() for word in _WORD.findall(stem) for part in _HUMP.split(word) if part)


def look_alikes(name: str, hunted: tuple[str, ...]) -> tuple[str, ...]:
    """Return the hunted words that stand inside a longer word of the name.

    Examples
    --------
    >>> look_alikes("strawberry_jam.png", ("raw",))
    ('raw',)
    >>> look_alikes("bowl_raw.png", ("raw",))
    ()
    """
    words = [word.lower() for word in _WORD.findall(split_name(name).stem)]
    return tuple(h for h in hunted if any(h in word and h != word for word in words))


def _token_at_end(body: str) -> str:
    """Return the longest token, with its delimiter, that ends the body."""
    lower = body.lower()
    best = ""
    for known in TOKENS:
        if lower.endswith(known):
            at = len(body) - len(known)
            if at > 0 and body[at - 1] in DELIMITERS and len(known) >= len(best):
                best = body[at - 1 :]
    return best
