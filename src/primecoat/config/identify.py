"""Which Color Interop ID a colour space of a config is, and which space of a config an ID is.

Three witnesses are heard in this order: the interop ID that the config states, names and aliases
that the vocabulary knows, and the space's own transform, which is run on code values and compared
with the vocabulary's curves and primaries. The transform is run in any case: where it plainly
disagrees with what is stated, the identity says so.
"""

from __future__ import annotations

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA, reading_named
from primecoat.colour.ocio import space_by_name, spaces_by_transform
from primecoat.config.against_transform import held_against_transform
from primecoat.config.identity import By, Identity
from primecoat.config.names_elsewhere import OPENCOLORIO, named_elsewhere

__all__ = ["Identity", "identify", "identify_all", "local_space"]


def identify(config: ocio.Config, name: str) -> Identity:
    """Return which reading a name stands for in a config; never fails on a name.

    Parameters
    ----------
    name
        A colour space, alias or role of the config, or any name from elsewhere: a Color Interop
        ID, a name of MaterialX or OpenUSD.

    Examples
    --------
    >>> from primecoat.colour.ocio import load_config
    >>> oldest = load_config("cg-config-v1.0.0_aces-v1.3_ocio-v2.1")
    >>> for name in ("lin_ap1_scene", "sRGB", "Utility - Raw"):
    ...     found = identify(oldest, name)
    ...     print(found.local_name, found.reading, found.by)
    ACEScg lin_ap1_scene alias
    sRGB - Texture srgb_rec709_scene alias
    Raw data alias
    """
    space = config.getColorSpace(name)
    if space is not None:
        return _of_space(config, name, space)
    if config.getNamedTransform(name) is not None:
        words = f"{name} is a named transform: a step between spaces, not a colour space"
        return Identity(name=name, local_name=None, reading=None, by="", words=words)
    return _of_foreign(config, name)


def identify_all(config: ocio.Config) -> tuple[Identity, ...]:
    """Return the identity of every active colour space, in the config's order."""
    return tuple(identify(config, str(name)) for name in config.getColorSpaceNames())


def local_space(config: ocio.Config, reading: str) -> str | None:
    """Return the config's own name for a reading, or None.

    It is looked up by name and alias, then by the interop IDs stated, then by transforms.

    Examples
    --------
    >>> from primecoat.colour.ocio import load_config
    >>> local_space(load_config("cg-config-v1.0.0_aces-v1.3_ocio-v2.1"), "srgb_rec709_scene")
    'sRGB - Texture'
    """
    named = space_by_name(reading, config)
    if named is not None:
        return named
    for space in config.getColorSpaces(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL):
        if space.getInteropID().removeprefix(OPENCOLORIO) == reading:
            return str(space.getName())
    return spaces_by_transform(config).get(reading)


def _of_foreign(config: ocio.Config, name: str) -> Identity:
    meant = named_elsewhere(name)
    if meant.reading is None:
        words = f"the config has no {name!r}; {meant.words}"
        return Identity(name=name, local_name=None, reading=None, by="", words=words)
    local = local_space(config, meant.reading)
    if local is None:
        return Identity(
            name=name,
            local_name=None,
            reading=meant.reading,
            by="alias",
            interop_id=meant.reading,
            words=f"{meant.words}, and the config has no such space",
        )
    return held_against_transform(
        config,
        config.getColorSpace(local),
        Identity(
            name=name,
            local_name=local,
            reading=meant.reading,
            by="alias",
            interop_id=meant.reading,
            words=f"{meant.words}, in this config {local}",
        ),
    )


def _of_space(config: ocio.Config, name: str, space: ocio.ColorSpace) -> Identity:
    reading, by, words = _stated(space)
    stated = Identity(
        name=name,
        local_name=str(space.getName()),
        reading=reading,
        by=by,
        interop_id=str(space.getInteropID()) or reading,
        words=words,
    )
    return held_against_transform(config, space, stated)


def _stated(space: ocio.ColorSpace) -> tuple[str | None, By, str]:
    """Return the reading that interop ID, names or data flag state, which of them, and words."""
    stated = str(space.getInteropID())
    known = reading_named(stated.removeprefix(OPENCOLORIO))
    if known is not None:
        return known, "interop ID", f"its interop ID is {stated}"
    beyond = f"its interop ID {stated} is none of the vocabulary"
    if stated and ":" not in stated:
        return None, "interop ID", beyond
    names = (str(space.getName()), *map(str, space.getAliases()))
    named = {reading: n for n in names if (reading := reading_named(n)) is not None}
    if len(named) == 1:
        ((reading, alias),) = named.items()
        return reading, "alias", f"its name {alias} is well known"
    if space.isData():
        return DATA, "data flag", "it is marked as data"
    if stated:
        return None, "", beyond
    if named:
        return None, "", f"its names stand for different spaces: {', '.join(sorted(named))}"
    return None, "", "no name of it is well known"
