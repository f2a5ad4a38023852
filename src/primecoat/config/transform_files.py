"""The files that the transforms of a config name, and who names them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import PyOpenColorIO as ocio

ALL_SPACES = (ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileUse:
    """One file that a transform names.

    Parameters
    ----------
    owner
        Who names it, in words: ``the look 'warm'``.
    source
        The path as written.
    """

    owner: str
    source: str


def file_uses(config: ocio.Config) -> tuple[FileUse, ...]:
    """Return every file that a transform of a config names, in the config's order."""
    uses = [
        FileUse(owner=owner, source=source)
        for owner, transform in _transforms(config)
        for source in _sources(transform)
    ]
    return tuple(dict.fromkeys(uses))


def _transforms(config: ocio.Config) -> Iterator[tuple[str, ocio.Transform]]:
    for space in config.getColorSpaces(*ALL_SPACES):
        for way in (ocio.COLORSPACE_DIR_TO_REFERENCE, ocio.COLORSPACE_DIR_FROM_REFERENCE):
            yield f"the space {space.getName()!r}", space.getTransform(way)
    for look in config.getLooks():
        yield f"the look {look.getName()!r}", look.getTransform()
        yield f"the look {look.getName()!r}", look.getInverseTransform()
    for view in config.getViewTransforms():
        for way in (ocio.VIEWTRANSFORM_DIR_TO_REFERENCE, ocio.VIEWTRANSFORM_DIR_FROM_REFERENCE):
            yield f"the view transform {view.getName()!r}", view.getTransform(way)
    for named in config.getNamedTransforms(ocio.NAMEDTRANSFORM_ALL):
        for way in (ocio.TRANSFORM_DIR_FORWARD, ocio.TRANSFORM_DIR_INVERSE):
            yield f"the named transform {named.getName()!r}", named.getTransform(way)


def _sources(transform: ocio.Transform | None) -> Iterator[str]:
    if isinstance(transform, ocio.GroupTransform):
        for part in transform:
            yield from _sources(part)
    elif isinstance(transform, ocio.FileTransform):
        yield str(transform.getSrc())
