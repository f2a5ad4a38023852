"""What a config made from a built-in one is to say."""

from __future__ import annotations

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA, NAMES, READINGS, SCENE_SPACES, SPACES, UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG, has_space, load_config, space_in_config
from primecoat.colour.ocio.kept import builtin_names
from primecoat.config.content import ConfigContent, NamedSpace
from primecoat.config.look_file import LookFile
from primecoat.config.token_rules import token_rules
from primecoat.errors import UseError
from primecoat.version import __version__

WRITTEN_BY = "Written by Primecoat"
"""How the description of every config of ours begins."""


def plan_content(
    *,
    base: str = DEFAULT_CONFIG,
    working: str = "lin_ap1_scene",
    made_in: str | None = None,
    old_look: LookFile | None = None,
    look: LookFile | None = None,
) -> ConfigContent:
    """Return what a config made from a built-in one is to say.

    Parameters
    ----------
    base
        Full name of a built-in config of OpenColorIO.
    working
        Color Interop ID of the working space; linear, referred to the scene.
    made_in
        Working space of before the switch, whose view is kept; an old look needs it.
    old_look
        Look that the old view went through.
    look
        Look file to add.

    Raises
    ------
    UseError
        If the base is no built-in config, or a space is not fit for its part.

    Examples
    --------
    >>> content = plan_content(base="cg-config-v1.0.0_aces-v1.3_ocio-v2.1")
    >>> [space.reading for space in content.spaces if space.added][:2]
    ['lin_adobergb_scene', 'lin_ciexyzd65_scene']
    """
    known = builtin_names()
    base = base.removeprefix("ocio://")
    if base not in known:
        raise UseError(f"{base} is no built-in config.", f"Use one of: {', '.join(known)}.")
    for asked in (working, made_in):
        if asked is not None and (asked not in SCENE_SPACES or not SPACES[asked].linear):
            raise UseError(f"{asked} cannot be a working space.", "Name a linear scene space.")
    if old_look is not None and made_in is None:
        raise UseError(
            "The old look is given without the working space that it was used in.",
            "Name the space that the scene was made in with --from.",
        )
    loaded = load_config(base)
    spaces = tuple(_named(reading, base) for reading in READINGS)
    return ConfigContent(
        base=base,
        version=(int(loaded.getMajorVersion()), int(loaded.getMinorVersion())),
        name=f"primecoat_{base}",
        description=_description(base, working),
        working=working,
        spaces=spaces,
        rules=token_rules(),
        roles=_roles(loaded, {space.reading: space.name for space in spaces}, working),
        views=tuple(
            (str(display), str(view))
            for display in loaded.getDisplays()
            for view in loaded.getViews(display)
        ),
        looks=tuple(str(name) for name in loaded.getLookNames()),
        made_in=made_in,
        old_look=old_look,
        look=look,
    )


def aliases_of(reading: str) -> tuple[str, ...]:
    """Return all names that a reading's space answers to; ``data`` is the role's name."""
    return tuple(name for name, meant in NAMES.items() if meant == reading and name != DATA)


def _named(reading: str, base: str) -> NamedSpace:
    there = has_space(reading, base)
    name = space_in_config(reading, base) if there else reading
    return NamedSpace(reading=reading, name=name, added=not there)


def _roles(loaded: ocio.Config, names: dict[str, str], working: str) -> tuple[tuple[str, str], ...]:
    """Return the base's roles, with those that its versions fill differently filled alike."""
    roles = {str(role): str(space) for role, space in loaded.getRoles()}
    roles |= {
        ocio.ROLE_SCENE_LINEAR: names[working],
        ocio.ROLE_RENDERING: names[working],
        ocio.ROLE_INTERCHANGE_SCENE: names["lin_ap0_scene"],
        ocio.ROLE_DATA: names[DATA],
        ocio.ROLE_COLOR_PICKING: names["srgb_rec709_scene"],
        ocio.ROLE_TEXTURE_PAINT: names["srgb_rec709_scene"],
        ocio.ROLE_MATTE_PAINT: roles[ocio.ROLE_COMPOSITING_LOG],
        ocio.ROLE_DEFAULT: UNKNOWN,
    }
    return tuple(sorted(roles.items()))


def _description(base: str, working: str) -> str:
    return "\n".join(
        (
            f"{WRITTEN_BY} {__version__} from {base}; working space {working}.",
            "A file is read by the token at the end of its own name, before tile, frame and "
            "ending: bowl_color_srgb_rec709_scene.1001.png. A token is a Color Interop ID or a "
            "well-known name for it, in any case.",
            "A file without a token is 'unknown': nothing is done to it, and nobody vouches for "
            "that. Which file has which token is told by: primecoat config read.",
        )
    )
