"""Scene light seen through a view, with a look from a file before it or without one."""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.ocio import kept_by_config, load_config, space_in_config
from primecoat.colour.ocio.processors import Floats, applied, built, exact
from primecoat.config.look_file import LookFile
from primecoat.config.look_steps import is_display, operation, space_of
from primecoat.errors import UseError


@kept_by_config("config", most=8)
def _processor(
    source: str, display: str, view: str, config: str, look: LookFile | None
) -> ocio.Processor:
    loaded = load_config(config)
    own = space_in_config(source, config)
    if look is None:
        steps = ocio.DisplayViewTransform(src=own, display=display, view=view)
        return built(loaded, f"the view {view} of {display}", steps)
    works, gives = space_of(loaded, look.works_in), space_of(loaded, look.gives)
    for space in (works, gives):
        if is_display(space):
            raise UseError(
                f"The look {look.path} cannot go before a view: {space.getName()} stands for "
                "light on a display.",
                "Name the scene space that the look works in.",
            )
    own_steps = [
        ocio.ColorSpaceTransform(src=own, dst=works.getName()),
        _operation(loaded, look),
        ocio.DisplayViewTransform(src=gives.getName(), display=display, view=view),
    ]
    return built(loaded, f"the look {look.title} before {view}", ocio.GroupTransform(own_steps))


def _operation(loaded: ocio.Config, look: LookFile) -> ocio.Transform:
    if look.cdl is not None:
        return operation(loaded, look)
    path = str(look.path.absolute())
    if "$" in path or "%" in path:
        raise UseError(
            f"The look {path} cannot be used: $ and % in a path stand for variables.",
            "Give it a plain name in a plain folder.",
        )
    return ocio.FileTransform(src=path, interpolation=ocio.INTERP_DEFAULT)


@kept_by_config("config", most=8)
def _exact(
    source: str, display: str, view: str, config: str, look: LookFile | None
) -> ocio.CPUProcessor:
    return exact(_processor(source, display, view, config, look))


def through_look(
    values: NDArray[np.floating],
    source: str,
    display: str,
    view: str,
    config: str,
    look: LookFile | None,
) -> Floats:
    """Return display code values of scene light, through a look (if any), then a view.

    Parameters
    ----------
    values
        Shape (..., 3); light in the space ``source``, a Color Interop ID.

    Returns
    -------
    numpy.ndarray
        float32, same shape: bit for bit those of OpenColorIO's processor without optimisation.

    Raises
    ------
    UseError
        If the config lacks a space, or the look works on display light.
    """
    return applied(_exact(source, display, view, config, look), values)


def look_view_id(source: str, display: str, view: str, config: str, look: LookFile | None) -> str:
    """Return what stands for all steps and numbers between light and display codes, as a text."""
    return str(_processor(source, display, view, config, look).getCacheID())
