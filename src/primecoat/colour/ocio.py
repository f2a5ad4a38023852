"""The door to OpenColorIO: configs, exact processors, arrays in and out.

All maths here runs unoptimised (``OPTIMIZATION_NONE``), so that stored and compared numbers
do not depend on the library's shortcuts (which move an sRGB decode by up to 2.4e-5).
"""

from __future__ import annotations

import os
from functools import lru_cache

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.errors import InputError, UseError

Floats = NDArray[np.float32]

DEFAULT_CONFIG = "studio-config-v4.0.0_aces-v2.0_ocio-v2.5"
"""The pinned built-in config; loads in OpenColorIO 2.5 and later."""

DEFAULT_DISPLAY = "sRGB - Display"
DEFAULT_VIEW = "ACES 2.0 - SDR 100 nits (Rec.709)"


def library_version() -> str:
    """Return the version of OpenColorIO."""
    return str(ocio.GetVersion())


def config_name(asked: str | None = None) -> str:
    """Return the config to use: the one asked for, else ``$OCIO``, else the pinned default.

    Parameters
    ----------
    asked
        Name of a built-in config, or path of a config file.
    """
    return asked or os.environ.get("OCIO") or DEFAULT_CONFIG


@lru_cache(maxsize=8)
def load_config(name: str) -> ocio.Config:
    """Load a config by built-in name or by path.

    Raises
    ------
    InputError
        If there is no such config or OpenColorIO rejects it.
    """
    builtin = name.removeprefix("ocio://")
    known = [entry[0] for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs()]
    try:
        if builtin in known or name.startswith("ocio://"):
            return ocio.Config.CreateFromBuiltinConfig(builtin)
        return ocio.Config.CreateFromFile(name)
    except (ocio.Exception, ocio.ExceptionMissingFile) as error:
        raise InputError(
            f"Cannot load the OpenColorIO config {name}: {str(error).splitlines()[0]}",
            f"Give a config file or one of: {', '.join(known)}.",
        ) from error


def space_in_config(reading: str, config: str) -> str:
    """Return the config's own name for a reading.

    Raises
    ------
    UseError
        If the config has no space of this ID or of a known alias.
    """
    loaded = load_config(config)
    for name in (reading, *SPACES[reading].aliases) if reading in SPACES else (reading,):
        space = loaded.getColorSpace(name)
        if space is not None:
            return str(space.getName())
    raise UseError(
        f"The config {config} has no colour space for {reading}.",
        "Name another config with --config.",
    )


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


@lru_cache(maxsize=64)
def _processor(source: str, target: str, config: str) -> ocio.CPUProcessor:
    names = space_in_config(source, config), space_in_config(target, config)
    processor = load_config(config).getProcessor(*names)
    return _exact(processor)


def convert(
    values: NDArray[np.floating] | tuple[float, ...],
    source: str,
    target: str,
    config: str = DEFAULT_CONFIG,
) -> Floats:
    """Convert RGB values from one reading to another, exactly.

    Parameters
    ----------
    values
        Array of shape (..., 3); any range.
    source, target
        Readings (Color Interop IDs).
    config
        Built-in name or path.

    Returns
    -------
    numpy.ndarray
        float32, same shape. The input is not changed.

    Examples
    --------
    >>> [round(float(v), 4) for v in convert((1.0, 0.0, 0.0), "lin_rec709_scene", "lin_ap1_scene")]
    [0.6131, 0.0702, 0.0206]
    """
    return _applied(_processor(source, target, config), values)


@lru_cache(maxsize=16)
def _view_processor(source: str, display: str, view: str, config: str) -> ocio.CPUProcessor:
    transform = ocio.DisplayViewTransform(
        src=space_in_config(source, config), display=display, view=view
    )
    processor = load_config(config).getProcessor(transform)
    return _exact(processor)


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
    return _applied(_view_processor(source, display, view, config), values)


@lru_cache(maxsize=16)
def _inverse_view_processor(target: str, display: str, view: str, config: str) -> ocio.CPUProcessor:
    transform = ocio.DisplayViewTransform(
        src=space_in_config(target, config),
        display=display,
        view=view,
        direction=ocio.TRANSFORM_DIR_INVERSE,
    )
    try:
        processor = load_config(config).getProcessor(transform)
    except ocio.Exception as error:
        raise UseError(
            f"The view {view} cannot be turned round: {str(error).splitlines()[0]}",
            "Name another view.",
        ) from error
    return _exact(processor)


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
    return _applied(_inverse_view_processor(target, display, view, config), codes)


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


@lru_cache(maxsize=16)
def _display_light_processor(display: str, view: str, config: str) -> ocio.CPUProcessor:
    name = check_view(display, view, config)
    try:
        processor = load_config(config).getProcessor(name, ocio.ROLE_INTERCHANGE_DISPLAY)
    except ocio.Exception as error:
        raise UseError(
            f"The config {config} does not say what light {name} is: it has no role "
            f"{ocio.ROLE_INTERCHANGE_DISPLAY}.",
            "Name another config with --config.",
        ) from error
    return _exact(processor)


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
    return _applied(_display_light_processor(display, view, config), codes)


def default_view_transform(config: str = DEFAULT_CONFIG) -> str:
    """Return the view transform that a config puts between scene and display spaces; may be empty.

    Examples
    --------
    >>> default_view_transform()
    'Un-tone-mapped'
    """
    return str(load_config(config).getDefaultViewTransformName())


def _exact(processor: ocio.Processor) -> ocio.CPUProcessor:
    return processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)


def _applied(
    processor: ocio.CPUProcessor, values: NDArray[np.floating] | tuple[float, ...]
) -> Floats:
    pixels = np.array(values, dtype=np.float32, order="C")
    if pixels.shape[-1] != 3:
        raise UseError(f"Colour maths needs 3 channels, found {pixels.shape[-1]}.")
    if pixels.size:
        rows = pixels.reshape(1, -1, 3)
        processor.apply(ocio.PackedImageDesc(rows, rows.shape[1], 1, 3))
    return pixels
