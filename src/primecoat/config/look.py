"""A look on scene light, which goes before a config's ACES views."""

from __future__ import annotations

import re

import PyOpenColorIO as ocio

from primecoat.config.look_file import LookFile
from primecoat.config.look_steps import is_display, made_from, offer_view, operation, space_of
from primecoat.errors import UseError


def look_name(look: LookFile) -> str:
    """Return the name of a look: that of its file and correction.

    In OpenColorIO's lists of looks ``+``, ``-``, ``,``, ``:`` and ``|`` have a meaning.
    """
    words = f"{look.path.stem} {look.correction}".strip()
    return re.sub(r"[^\w .()]", "_", words)


def add_look(config: ocio.Config, look: LookFile) -> None:
    """Add a look to a config, and to every display its first view again, with the look before it.

    Parameters
    ----------
    config
        An editable config; it is changed in place.
    look
        A look on scene light: both its spaces are scene-referred. The space that it works in
        becomes the process space.

    Raises
    ------
    UseError
        If a space is missing or stands for light on a display, or the config has such a look.
    """
    name = look_name(look)
    works, gives = space_of(config, look.works_in), space_of(config, look.gives)
    for space in (works, gives):
        if is_display(space):
            raise UseError(
                f"The look {look.path} cannot go before a view: {space.getName()} stands for "
                "light on a display.",
                "Give it as the old look, which is a view of its own.",
            )
    if config.getLook(name) is not None:
        raise UseError(
            f"The config {config.getName()} has a look {name} already.", "Rename the file."
        )
    steps = [operation(config, look)]
    if gives.getName() != works.getName():
        steps.append(ocio.ColorSpaceTransform(src=gives.getName(), dst=works.getName()))
    config.addLook(
        ocio.Look(
            name=name,
            processSpace=works.getName(),
            transform=ocio.GroupTransform(steps),
            description=f"{made_from(look)}.",
        )
    )
    shown: dict[str, list[str]] = {}
    for display in config.getDisplays():
        first = next(iter(config.getViews(display)), None)
        if first is not None and config.getDisplayViewTransformName(display, first):
            shown.setdefault(str(first), []).append(str(display))
    for view, displays in shown.items():
        with_look = f"{view} with {name}"
        config.addSharedView(
            with_look,
            config.getDisplayViewTransformName(displays[0], view),
            "<USE_DISPLAY_NAME>",
            looks=name,
            description=f"The view {view} after the look {name}.",
        )
        offer_view(config, with_look, displays)
