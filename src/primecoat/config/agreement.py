"""Whether what a config reads a file as agrees with how it must be read."""

from __future__ import annotations

from typing import Literal

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.config.identify import local_space
from primecoat.config.identity import Identity

Verdict = Literal["agrees", "misread", "left open", "cannot say"]
Kind = Literal["data as colour", "colour as data", "another colour", "display for scene", ""]

VERDICTS: tuple[Verdict, ...] = ("misread", "left open", "cannot say", "agrees")
"""The gravest first."""

KINDS: tuple[Kind, ...] = (
    "data as colour",
    "colour as data",
    "another colour",
    "display for scene",
    "",
)
"""Of misreadings, the gravest first."""


def reads_as(identity: Identity) -> str | None:
    """Return the reading that a space of a config has in truth; what its transform does counts."""
    return identity.by_transform if identity.contradicts else identity.reading


def leaves_open(config: ocio.Config, identity: Identity) -> bool:
    """Whether a space says that nobody knows: its interop ID, name or alias is ``unknown``."""
    space = config.getColorSpace(identity.name)
    names = [identity.name, identity.interop_id or ""]
    if space is not None:
        names += [str(space.getName()), *map(str, space.getAliases())]
    return UNKNOWN in [name.lower() for name in names]


def agrees(config: ocio.Config, wanted: str, identity: Identity) -> bool | None:
    """Return whether a space of a config is the reading wanted; None if that cannot be told.

    Examples
    --------
    >>> from primecoat.colour.ocio import load_config
    >>> from primecoat.config.identify import identify
    >>> config = load_config("cg-config-v4.0.0_aces-v2.0_ocio-v2.5")
    >>> agrees(config, "srgb_rec709_scene", identify(config, "sRGB - Texture"))
    True
    >>> agrees(config, "srgb_rec709_scene", identify(config, "sRGB - Display"))
    False
    """
    if identity.local_name is None:
        return None
    read = reads_as(identity)
    if read is not None:
        return read == wanted
    if local_space(config, wanted) == identity.local_name and not identity.contradicts:
        return True
    compared = identity.distance is not None or identity.contradicts
    return False if compared else None


def kind_of(wanted: str, read: str | None) -> Kind:
    """Return what sort of misreading it is; a space without a reading is a colour space.

    Examples
    --------
    >>> kind_of("data", "srgb_rec709_display"), kind_of("lin_ap1_scene", "lin_ap0_scene")
    ('data as colour', 'another colour')
    >>> kind_of("srgb_rec709_scene", "srgb_rec709_display")
    'display for scene'
    """
    if wanted == DATA:
        return "data as colour"
    if read == DATA:
        return "colour as data"
    if wanted in SPACES and read in SPACES:
        one, other = SPACES[wanted], SPACES[read]
        if (one.curve, one.primaries) == (other.curve, other.primaries):
            return "display for scene"
    return "another colour"
