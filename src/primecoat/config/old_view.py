"""The look from before the switch, as a view beside the ACES views.

The view is a view transform from scene light to display light, not a colour space: so every
display of the config shows the same colours by its own encoding, and a display that encodes as
the old pipeline did shows the same code values. No ACES view transform takes part in it, and it
goes one way only, so that OpenColorIO never has to turn a LUT round to show it.
"""

from __future__ import annotations

import PyOpenColorIO as ocio

from primecoat.colour.ids import SPACES
from primecoat.config.look_file import LookFile
from primecoat.config.look_steps import (
    TO_DISPLAY_REFERENCE,
    is_display,
    made_from,
    offer_view,
    operation,
    reference_of,
    space_of,
)
from primecoat.errors import UseError
from primecoat.images.encodings import WORDS


def old_view_name(old: LookFile | None, made_in: str) -> str:
    """Return the name of the view: after the look file, else after the old primaries.

    Examples
    --------
    >>> old_view_name(None, "lin_rec709_scene")
    'Old look (Rec.709)'
    """
    if old is not None:
        return f"Old look ({old.title})"
    return f"Old look ({WORDS[SPACES[made_in].primaries] if made_in in SPACES else made_in})"


def add_old_view(config: ocio.Config, old: LookFile | None, *, made_in: str) -> None:
    """Add the look from before the switch to a config as a view of every SDR display.

    Parameters
    ----------
    config
        An editable config whose scene reference is ACES2065-1 and whose display reference is CIE
        XYZ (D65), as OpenColorIO's built-in configs are. It is changed in place.
    old
        The look; None if the old scene was seen by the display's encoding alone.
    made_in
        Working space from before the switch.

    Raises
    ------
    UseError
        If the config lacks a space, a reference or an SDR display, or has such a view already.
    """
    space_of(config, made_in)
    name = old_view_name(old, made_in)
    if name in [*config.getViewTransformNames(), *config.getSharedViews()]:
        raise UseError(
            f"The config {config.getName()} has a view {name} already.", "Give it only once."
        )
    displays = _sdr_displays(config)
    words = f"How the scene made in {made_in} was seen before the switch: "
    words += "the display's encoding alone, no tone curve." if old is None else f"{made_from(old)}."
    config.addViewTransform(
        ocio.ViewTransform(
            referenceSpace=ocio.REFERENCE_SPACE_SCENE,
            name=name,
            description=words,
            fromReference=_scene_to_display(config, old),
        )
    )
    config.addSharedView(name, name, "<USE_DISPLAY_NAME>", description=words)
    offer_view(config, name, displays)


def _scene_to_display(config: ocio.Config, old: LookFile | None) -> ocio.GroupTransform:
    scene = reference_of(config, ocio.ROLE_INTERCHANGE_SCENE)
    light = reference_of(config, ocio.ROLE_INTERCHANGE_DISPLAY)
    across = ocio.BuiltinTransform(style=TO_DISPLAY_REFERENCE)
    if old is None:
        return ocio.GroupTransform([across])
    works, gives = space_of(config, old.works_in), space_of(config, old.gives)
    steps: list[ocio.Transform] = []
    # never a conversion from scene to display by name: that takes the config's own view transform
    if is_display(works):
        steps += [across, ocio.ColorSpaceTransform(src=light, dst=works.getName())]
        if old.clamp:  # code values that clamp went into the look clamped too
            steps.append(
                ocio.RangeTransform(
                    minInValue=0.0, minOutValue=0.0, maxInValue=1.0, maxOutValue=1.0
                )
            )
    else:
        steps.append(ocio.ColorSpaceTransform(src=scene, dst=works.getName()))
    steps.append(operation(config, old))
    if is_display(gives):
        steps.append(ocio.ColorSpaceTransform(src=gives.getName(), dst=light))
    else:
        steps += [ocio.ColorSpaceTransform(src=gives.getName(), dst=scene), across]
    return ocio.GroupTransform(steps)


def _sdr_displays(config: ocio.Config) -> list[str]:
    found = []
    for display in config.getDisplays():
        space = config.getColorSpace(display)
        if space is not None and space.getEncoding() in ("sdr-video", "sdr-cinema"):
            found.append(str(display))
    if not found:
        raise UseError(
            f"The config {config.getName()} has no SDR display for the old look.",
            "Take one of OpenColorIO's built-in ACES configs as base.",
        )
    return found
