"""Every processor of a config, built and, where that is cheap, run on neutral numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.config.transform_files import ALL_SPACES

Floats = NDArray[np.float32]
Kind = Literal["space", "view", "look", "named transform"]
Way = Literal["to reference", "from reference", "forward", "back"]

CODES: Final[Floats] = np.linspace(0.0, 1.0, 1025, dtype=np.float32)
"""Neutral numbers that spaces and named transforms are run on."""

EXPOSURES: Final[Floats] = (0.18 * 2.0 ** np.linspace(-8.0, 6.5, 233)).astype(np.float32)
"""Neutral scene light that views and looks are run on: mid-grey, -8 to +6.5 stops."""

_SCENE, _DISPLAY = "scene reference of this check", "display reference of this check"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Build:
    """One processor of a config, or why there is none.

    Parameters
    ----------
    kind, name
        What it belongs to; a view is named by its display and view.
    way
        Direction.
    written
        Whether this direction is written in the config; else OpenColorIO turns the other round.
    trouble
        Why it cannot be built; empty if it can.
    turns_lut
        Whether a 3D LUT has to be turned round; such a processor is not run, it may take minutes.
    has_lut
        Whether a look-up table takes part.
    given, made
        Neutral numbers that went in, shape (n,), and what came out, shape (n, 3); empty if not run.
    light
        For views: CIE X, Y, Z of ``made``, white Y = 1; shape (n, 3), or empty.
    """

    kind: Kind
    name: str
    way: Way
    written: bool = True
    trouble: str = ""
    turns_lut: bool = False
    has_lut: bool = False
    given: Floats
    made: Floats
    light: Floats

    @property
    def label(self) -> str:
        """What it is, in words."""
        return f"the {self.kind} {self.name!r}"


def build_all(own: ocio.Config) -> tuple[Build, ...]:
    """Build every processor of a config: spaces, views, looks, named transforms, both ways.

    Data spaces have none. A direction that turns a 3D LUT round is not run.

    Parameters
    ----------
    own
        The config; it is changed, so load it anew for this. A copy would open files past the
        proxy that it was loaded through.
    """
    own.addColorSpace(ocio.ColorSpace(ocio.REFERENCE_SPACE_SCENE, name=_SCENE))
    own.addColorSpace(ocio.ColorSpace(ocio.REFERENCE_SPACE_DISPLAY, name=_DISPLAY))
    return (*_spaces(own), *_views(own), *_looks(own), *_named(own))


def _spaces(config: ocio.Config) -> Iterator[Build]:
    for space in config.getColorSpaces(*ALL_SPACES):
        name = str(space.getName())
        if space.isData() or name in (_SCENE, _DISPLAY):
            continue
        shown = space.getReferenceSpaceType() == ocio.REFERENCE_SPACE_DISPLAY
        reference = _DISPLAY if shown else _SCENE
        has_to = space.getTransform(ocio.COLORSPACE_DIR_TO_REFERENCE) is not None
        has_from = space.getTransform(ocio.COLORSPACE_DIR_FROM_REFERENCE) is not None
        pair = ocio.ColorSpaceTransform(src=name, dst=reference)
        yield _build(config, "space", name, "to reference", pair, CODES, has_to or not has_from)
        pair = ocio.ColorSpaceTransform(src=reference, dst=name)
        yield _build(config, "space", name, "from reference", pair, CODES, has_from or not has_to)


def _views(config: ocio.Config) -> Iterator[Build]:
    source = _working(config)
    for display in config.getDisplaysAll():
        for view in config.getViews(display):
            name = f"{display} / {view}"
            way = ocio.DisplayViewTransform(src=source, display=display, view=view)
            yield _build(config, "view", name, "forward", way, EXPOSURES, True, display, view)
            way = ocio.DisplayViewTransform(
                src=source, display=display, view=view, direction=ocio.TRANSFORM_DIR_INVERSE
            )
            yield _build(config, "view", name, "back", way, CODES[:0], False)


def _looks(config: ocio.Config) -> Iterator[Build]:
    source = _working(config)
    for look in config.getLooks():
        name = str(look.getName())
        applied = ocio.LookTransform(src=source, dst=source, looks=name)
        yield _build(config, "look", name, "forward", applied, EXPOSURES, True)


def _named(config: ocio.Config) -> Iterator[Build]:
    for named in config.getNamedTransforms(ocio.NAMEDTRANSFORM_ALL):
        forward = named.getTransform(ocio.TRANSFORM_DIR_FORWARD)
        back = named.getTransform(ocio.TRANSFORM_DIR_INVERSE)
        name = str(named.getName())
        one_way = forward is not None
        transform = forward if one_way else back
        if transform is not None:
            way: Way = "forward" if one_way else "back"
            yield _build(config, "named transform", name, way, transform, CODES, True)


def _working(config: ocio.Config) -> str:
    """Return the space that neutral scene light is given in: the working space, if there is one."""
    if config.hasRole(ocio.ROLE_SCENE_LINEAR):
        return str(ocio.ROLE_SCENE_LINEAR)
    return _SCENE


def _build(
    config: ocio.Config,
    kind: Kind,
    name: str,
    way: Way,
    transform: ocio.Transform,
    given: Floats,
    written: bool,
    display: str = "",
    view: str = "",
) -> Build:
    nothing = np.zeros((0, 3), np.float32)
    empty = np.zeros(0, np.float32)
    try:
        processor = config.getProcessor(transform)
        kinds = [(p.getTransformType(), p.getDirection()) for p in processor.createGroupTransform()]
        turns = (ocio.TRANSFORM_TYPE_LUT3D, ocio.TRANSFORM_DIR_INVERSE) in kinds
        made = nothing if turns else _run(processor, given)
        light = _light(config, display, view, made) if display and len(made) else nothing
    except (ocio.Exception, ocio.ExceptionMissingFile) as error:
        reason = str(error).strip().splitlines()[0] if str(error).strip() else "no reason given"
        return Build(
            kind=kind,
            name=name,
            way=way,
            written=written,
            trouble=reason,
            given=empty,
            made=nothing,
            light=nothing,
        )
    tables = (ocio.TRANSFORM_TYPE_LUT1D, ocio.TRANSFORM_TYPE_LUT3D)
    return Build(
        kind=kind,
        name=name,
        way=way,
        written=written,
        turns_lut=turns,
        has_lut=any(k in tables for k, _ in kinds),
        given=given if len(made) else empty,
        made=made,
        light=light,
    )


def _light(config: ocio.Config, display: str, view: str, made: Floats) -> Floats:
    """Return X, Y, Z of what a view shows, if it ends in a display-referred space."""
    name = str(config.getDisplayViewColorSpaceName(display, view))
    space = config.getColorSpace(display if name == "<USE_DISPLAY_NAME>" else name)
    shown = ocio.REFERENCE_SPACE_DISPLAY
    if space is None or space.isData() or space.getReferenceSpaceType() != shown:
        return made[:0]
    processor = config.getProcessor(space.getName(), _DISPLAY)
    return _run_rows(processor, made)


def _run(processor: ocio.Processor, given: Floats) -> Floats:
    return _run_rows(processor, np.repeat(given[:, None], 3, axis=1))


def _run_rows(processor: ocio.Processor, rows: Floats) -> Floats:
    made = np.array(rows, dtype=np.float32, order="C")
    exact = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    if len(made):
        exact.apply(ocio.PackedImageDesc(made, len(made), 1, 3))
    return made
