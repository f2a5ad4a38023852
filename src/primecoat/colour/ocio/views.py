"""Views of a display: through, against, and the light that they make."""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.defaults import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.colour.ocio.configs import load_config
from primecoat.colour.ocio.kept import kept_by_config
from primecoat.colour.ocio.processors import Floats, applied, built, exact
from primecoat.colour.ocio.spaces import match_space, space_in_config
from primecoat.errors import UseError


@kept_by_config(most=16)
def _view_processor(source: str, display: str, view: str, config: str) -> ocio.CPUProcessor:
    transform = ocio.DisplayViewTransform(
        src=space_in_config(source, config), display=display, view=view
    )
    return exact(built(load_config(config), f"the view {view} of {display}", transform))


def through_view(
    values: NDArray[np.floating] | tuple[float, ...],
    source: str,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    config: str = DEFAULT_CONFIG,
) -> Floats:
    """Return display code values (0 to 1) of RGB values seen through a view.

    Shapes and types are those of :func:`convert`.

    Examples
    --------
    >>> round(255 * float(through_view((0.18, 0.18, 0.18), "lin_ap1_scene")[0]))
    89
    """
    return applied(_view_processor(source, display, view, config), values)


@kept_by_config(most=16)
def _inverse_view_processor(target: str, display: str, view: str, config: str) -> ocio.CPUProcessor:
    return exact(_inverse_view(target, display, view, config))


def _inverse_view(target: str, display: str, view: str, config: str) -> ocio.Processor:
    transform = ocio.DisplayViewTransform(
        src=space_in_config(target, config),
        display=display,
        view=view,
        direction=ocio.TRANSFORM_DIR_INVERSE,
    )
    return built(load_config(config), f"the view {view} turned round", transform)


def against_view(
    codes: NDArray[np.floating] | tuple[float, ...],
    target: str,
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    config: str = DEFAULT_CONFIG,
) -> Floats:
    """Return the RGB values that a view turned round gives for display code values (0 to 1).

    Shapes and types are those of :func:`convert`. A code that the view never makes gets some
    value all the same; see it through the view again to know.

    Examples
    --------
    >>> grey = through_view((0.18, 0.18, 0.18), "lin_ap1_scene")
    >>> round(float(against_view(grey, "lin_ap1_scene")[1]), 4)
    0.18
    """
    return applied(_inverse_view_processor(target, display, view, config), codes)


def check_view(display: str, view: str, config: str = DEFAULT_CONFIG) -> str:
    """Return the config's name for the colour space that a view of a display ends in.

    Raises
    ------
    UseError
        If there is no such display or view, or the view ends in no display-referred space.

    Examples
    --------
    >>> check_view(DEFAULT_DISPLAY, DEFAULT_VIEW)
    'sRGB - Display'
    """
    loaded = load_config(config)
    displays = list(loaded.getDisplays())
    if display not in displays:
        raise UseError(
            f"The config {config} has no display {display}.", f"Use one of: {', '.join(displays)}."
        )
    views = list(loaded.getViews(display))
    if view not in views:
        raise UseError(
            f"The display {display} has no view {view}.", f"Use one of: {', '.join(views)}."
        )
    name = str(loaded.getDisplayViewColorSpaceName(display, view))
    space = loaded.getColorSpace(display if name == "<USE_DISPLAY_NAME>" else name)
    if (
        space is None
        or space.isData()
        or space.getReferenceSpaceType() != ocio.REFERENCE_SPACE_DISPLAY
    ):
        raise UseError(
            f"What the view {view} ends in is not described as light on a display.",
            "Name another view.",
        )
    return str(space.getName())


@kept_by_config(most=16)
def display_reading(display: str, view: str, config: str = DEFAULT_CONFIG) -> str:
    """Return the Color Interop ID of the code values that a view of a display ends in.

    Raises
    ------
    UseError
        If there is no such display or view, or what it ends in has no ID.

    Examples
    --------
    >>> display_reading(DEFAULT_DISPLAY, DEFAULT_VIEW)
    'srgb_rec709_display'
    """
    name = check_view(display, view, config)
    found = match_space(load_config(config), name).reading
    if found is None:
        raise UseError(
            f"The display space {name} has no Color Interop ID.", "Name another display or view."
        )
    return found


def view_id(display: str, view: str, target: str, config: str = DEFAULT_CONFIG) -> str:
    """Return what stands for a view turned round as a config defines it, as a text.

    It changes with the view's steps and numbers, not with names.

    Examples
    --------
    >>> view_id(DEFAULT_DISPLAY, DEFAULT_VIEW, "lin_ap1_scene") == view_id(
    ...     DEFAULT_DISPLAY, "Un-tone-mapped", "lin_ap1_scene")
    False
    """
    return str(_inverse_view(target, display, view, config).getCacheID())


@kept_by_config(most=16)
def _display_light_processor(display: str, view: str, config: str) -> ocio.CPUProcessor:
    name = check_view(display, view, config)
    asked = name, ocio.ROLE_INTERCHANGE_DISPLAY
    return exact(built(load_config(config), f"light of {name}", *asked))


def display_xyz(
    codes: NDArray[np.floating] | tuple[float, ...],
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    config: str = DEFAULT_CONFIG,
) -> Floats:
    """Return CIE X, Y, Z of the light that display code values make; white D65, Y 1 = 100 cd/m².

    Shapes and types are those of :func:`convert`.

    Examples
    --------
    >>> [round(float(v), 3) for v in display_xyz((1.0, 1.0, 1.0))]
    [0.95, 1.0, 1.089]
    """
    return applied(_display_light_processor(display, view, config), codes)


def default_view_transform(config: str = DEFAULT_CONFIG) -> str:
    """Return the view transform that a config puts between scene and display spaces; may be empty.

    Examples
    --------
    >>> default_view_transform()
    'Un-tone-mapped'
    """
    return str(load_config(config).getDefaultViewTransformName())
