"""Looks as steps of an OpenColorIO config: the operation itself, its spaces, views that show it."""

from __future__ import annotations

from collections.abc import Iterable

import PyOpenColorIO as ocio

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import space_by_name, spaces_by_transform
from primecoat.config.look_file import LOOK_FOLDER, LookFile
from primecoat.errors import UseError

TO_DISPLAY_REFERENCE = "UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD"
"""OpenColorIO's built-in from ACES2065-1 to CIE XYZ (D65): white goes to white, no tone curve."""


def space_of(config: ocio.Config, name: str) -> ocio.ColorSpace:
    """Return the colour space that a Color Interop ID, or a name in the config, stands for.

    Raises
    ------
    UseError
        If the config has none, or if it holds data.
    """
    own = space_by_name(name, config)
    if own is None and name in SPACES:
        own = spaces_by_transform(config).get(name)
    space = config.getColorSpace(own) if own else None
    if space is None:
        raise UseError(
            f"The config {config.getName()} has no colour space for {name}.",
            "Name another space, or another config as base.",
        )
    if space.isData():
        raise UseError(
            f"A look cannot work on {name}: those numbers are data, no colours.",
            "Name the colour space that the look was made in.",
        )
    return space


def is_display(space: ocio.ColorSpace) -> bool:
    """Whether the numbers of a space stand for light on a display."""
    return bool(space.getReferenceSpaceType() == ocio.REFERENCE_SPACE_DISPLAY)


def reference_of(config: ocio.Config, role: str) -> str:
    """Return the name of the reference space under one of the two interchange roles.

    Raises
    ------
    UseError
        If the role is not there, or is not the reference itself.
    """
    space = config.getColorSpace(role) if config.hasRole(role) else None
    directions = ocio.COLORSPACE_DIR_TO_REFERENCE, ocio.COLORSPACE_DIR_FROM_REFERENCE
    if space is None or any(space.getTransform(one) for one in directions):
        raise UseError(
            f"The config {config.getName()} has no reference space under the role {role}.",
            "Take one of OpenColorIO's built-in ACES configs as base.",
        )
    return str(space.getName())


def operation(config: ocio.Config, look: LookFile) -> ocio.Transform:
    """Return what a look does between the space it works in and the one it gives; forward only.

    A LUT is referred to by its bare name, found in the folder beside the config, which is added
    to the config's search path.
    """
    if look.cdl is None:
        paths = [path for path in config.getSearchPaths() if path]
        if LOOK_FOLDER not in paths:
            config.clearSearchPaths()  # a built-in config has one empty path
            for path in (*paths, LOOK_FOLDER):
                config.addSearchPath(path)
        # the interpolation that the file asks for, else between the 8 nearest entries
        return ocio.FileTransform(src=look.beside, interpolation=ocio.INTERP_DEFAULT)
    transform = ocio.CDLTransform()
    transform.setSlope(look.cdl.slope)
    transform.setOffset(look.cdl.offset)
    transform.setPower(look.cdl.power)
    transform.setSat(look.cdl.saturation)
    transform.setStyle(ocio.CDL_ASC if look.clamp else ocio.CDL_NO_CLAMP)
    return transform


def made_from(look: LookFile) -> str:
    """Return in words what a look is made from."""
    what = f"{look.title} (SHA-256 {look.sha256[:12]})"
    space = f"in {look.works_in}"
    if look.gives != look.works_in:
        space = f"from {look.works_in} to {look.gives}"
    if look.cdl is None:
        return f"LUT {what}, {space}"
    clamp = "clamped to 0 to 1 as in ASC CDL v1.2" if look.clamp else "not clamped"
    return f"CDL of {what}, {space}, {clamp}"


def offer_view(config: ocio.Config, name: str, displays: Iterable[str]) -> None:
    """Offer a shared view at some displays, after their other views that show light.

    A config that lists its active views gets the name there too, else nobody would see it.
    """
    for display in displays:
        config.addDisplaySharedView(display, name)
    active = list(config.getActiveViews())
    if active and name not in active:
        end = len(active) - 1 if _shows_numbers(config, active[-1]) else len(active)
        config.clearActiveViews()
        for view in (*active[:end], name, *active[end:]):
            config.addActiveView(view)


def _shows_numbers(config: ocio.Config, view: str) -> bool:
    """Whether a view shows bare numbers, without any conversion."""
    names = {
        str(config.getDisplayViewColorSpaceName(display, view))
        for display in config.getDisplays()
        if view in list(config.getViews(display))
    }
    spaces = [config.getColorSpace(name) for name in names]
    return bool(spaces) and all(space is not None and space.isData() for space in spaces)
