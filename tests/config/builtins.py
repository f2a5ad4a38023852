"""OpenColorIO's built-in configs, the library's own word on their spaces, and copies of them."""

from __future__ import annotations

import copy
from functools import lru_cache

import PyOpenColorIO as ocio

BUILTINS = tuple(entry[0] for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs())
OLDEST = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"
NEWEST = "studio-config-v5.0.0_aces-v2.1_ocio-v2.6"

NO_MORE = {
    "CIE-XYZ-D65",  # display-referred; the newer one is called ocio:lin_ciexyzd65_display
    "P3-D60 - Display",
    "P3-DCI - Display",
    "Rec.1886 Rec.2020 - Display",
}
"""Spaces of older built-in configs that the newest does not know; none has a Color Interop ID."""


def builtin(name: str) -> ocio.Config:
    return ocio.Config.CreateFromBuiltinConfig(name)


def every_name(config: ocio.Config) -> list[str]:
    """Return the names of all colour spaces, inactive ones too."""
    return list(config.getColorSpaceNames(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL))


def library_says(name: str) -> str:
    """Return the interop ID that the library's newest config states for a name of any of them.

    Its aliases hold the names of older configs. The namespace ``ocio:`` is dropped.
    """
    space = _newest().getColorSpace(name)
    assert (space is None) == (name in NO_MORE), name
    return str(space.getInteropID()).removeprefix("ocio:") if space else ""


@lru_cache
def _newest() -> ocio.Config:
    return builtin(NEWEST)


def renamed(config: ocio.Config) -> tuple[ocio.Config, dict[str, str]]:
    """Return a copy whose spaces have other names and neither aliases nor interop IDs.

    Descriptions, families and categories go too; roles point to the new names. With it comes the
    old name of each new one.
    """
    made = copy.deepcopy(config)
    made.setInactiveColorSpaces("")
    roles = {role: config.getRoleColorSpace(role) for role in config.getRoleNames()}
    olds = {}
    for number, old in enumerate(every_name(config)):
        space = copy.deepcopy(config.getColorSpace(old))
        new = f"shelf {number * 7919 % 1000:03}"
        space.clearAliases()
        space.setInteropID("")
        space.setName(new)
        space.setDescription("")
        space.setFamily("")
        space.clearCategories()
        made.removeColorSpace(old)
        made.addColorSpace(space)
        olds[new] = old
    for role, old in roles.items():
        made.setRole(role, next(new for new, name in olds.items() if name == old))
    return made, olds


def without_roles(config: ocio.Config) -> ocio.Config:
    made = copy.deepcopy(config)
    for role in list(made.getRoleNames()):
        made.setRole(role, None)
    return made
