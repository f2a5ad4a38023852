"""Colour spaces of a config, found by ID, by other names, or by what their transforms do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import PyOpenColorIO as ocio

from primecoat.colour.decoding import light_in_reference
from primecoat.colour.defaults import DEFAULT_CONFIG
from primecoat.colour.ids import DATA, SPACES
from primecoat.colour.ocio.configs import load_config
from primecoat.colour.ocio.kept import kept_by_config
from primecoat.colour.ocio.processors import applied, exact
from primecoat.colour.transform_match import PROBES, Match, match_light
from primecoat.errors import UseError


def space_in_config(reading: str, config: str) -> str:
    """Return the config's own name for a reading.

    It is found by its ID or a known alias, else by what the config's transforms do: a space that
    was renamed is found all the same.

    Raises
    ------
    UseError
        If the config has no such space.

    Examples
    --------
    >>> space_in_config("srgb_rec709_scene", "cg-config-v1.0.0_aces-v1.3_ocio-v2.1")
    'sRGB - Texture'
    """
    loaded = load_config(config)
    found = space_by_name(reading, loaded) or _spaces_by_transform(config).get(reading)
    if found is None:
        raise UseError(
            f"The config {config} has no colour space for {reading}.",
            "Name another config with --config.",
        )
    return found


def space_by_name(reading: str, loaded: ocio.Config) -> str | None:
    """Return the config's own name for a reading, looked up by ID and known aliases only."""
    for name in (reading, *SPACES[reading].aliases) if reading in SPACES else (reading,):
        space = loaded.getColorSpace(name)
        if space is not None:
            return str(space.getName())
    return None


def spaces_by_transform(loaded: ocio.Config) -> dict[str, str]:
    """Return the config's own name for each reading that one of its transforms decodes, and data.

    Active spaces come before inactive ones.
    """
    found: dict[str, str] = {}
    active = set(loaded.getColorSpaceNames())
    every = loaded.getColorSpaceNames(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL)
    for name in sorted(every, key=lambda name: name not in active):
        try:
            data = loaded.getColorSpace(name).isData()
            reading = DATA if data else match_space(loaded, name).reading
        except UseError:
            continue
        if reading is not None:
            found.setdefault(reading, str(name))
    return found


@kept_by_config(most=8)
def _spaces_by_transform(config: str) -> dict[str, str]:
    return spaces_by_transform(load_config(config))


def match_space(loaded: ocio.Config, name: str) -> Match:
    """Return which colour space of the vocabulary a config's space has the transforms of.

    Raises
    ------
    UseError
        If it is no colour space, holds data, cannot be built, or if the config does not say what
        its reference space is; with the reason.

    Examples
    --------
    >>> match_space(load_config(DEFAULT_CONFIG), "srgb_tx").reading
    'srgb_rec709_scene'
    """
    space = loaded.getColorSpace(name)
    if space is None or space.isData():
        raise UseError(
            f"{name} has no transform to compare: it is {'data' if space else 'unknown'}.",
            "Name a colour space of the config.",
        )
    display = space.getReferenceSpaceType() == ocio.REFERENCE_SPACE_DISPLAY
    try:
        to, basis = _interchange(loaded, name, display=display)
        processor = loaded.getProcessor(space.getName(), to)
    except (ocio.Exception, ocio.ExceptionMissingFile) as error:
        raise UseError(
            f"The transform of {name} cannot be compared: {str(error).splitlines()[0]}",
            "Give the config the interchange roles and the files that it refers to.",
        ) from error
    light = applied(exact(processor), PROBES).astype(np.float64)
    if basis is not None:
        light = light_in_reference(light, basis)
    found = match_light(light, "display" if display else "scene")
    # Display P3 has one maths with and without headroom; only the encoding tells
    return replace(found, reading=None) if space.getEncoding() == "edr-video" else found


def _interchange(loaded: ocio.Config, name: str, *, display: bool) -> tuple[str, str | None]:
    """Return where spaces of a config are compared, and its ID if it is not the standard one.

    A config without the role is searched by OpenColorIO for a space it knows.
    """
    role = ocio.ROLE_INTERCHANGE_DISPLAY if display else ocio.ROLE_INTERCHANGE_SCENE
    if loaded.hasRole(role):
        return role, None
    known = load_config(DEFAULT_CONFIG)
    target = known.getRoleColorSpace(role)
    own, theirs = ocio.Config.IdentifyInterchangeSpace(loaded, name, known, target)
    return str(own), str(known.getColorSpace(theirs).getInteropID())


def has_space(reading: str, config: str) -> bool:
    """Whether a config has a space for a reading, by its ID or a known alias.

    Examples
    --------
    >>> has_space("hlg_rec2020_display", "cg-config-v4.0.0_aces-v2.0_ocio-v2.5")
    False
    """
    try:
        space_in_config(reading, config)
    except UseError:
        return False
    return True
