"""Two renders compared."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ocio import config_name
from primecoat.renders.compare import compare_renders
from primecoat.renders.figures import Comparison
from primecoat.renders.inputs import Input


def compare(
    a: Path | str,
    b: Path | str,
    *,
    in_a: str | None = None,
    in_b: str | None = None,
    view_a: str | None = None,
    view_b: str | None = None,
    display: str | None = None,
    layer_a: str = "",
    layer_b: str = "",
    part_a: str | None = None,
    part_b: str | None = None,
    align: bool = False,
    noise: Path | str | None = None,
    colour_only: bool = False,
    pictures: Path | None = None,
    config: str | None = None,
) -> Comparison:
    """Say how two renders differ; see :func:`primecoat.renders.compare.compare_renders`.

    Parameters
    ----------
    a, b
        Old and new: files, or patterns of sequences such as ``beauty.####.exr``.
    in_a, in_b
        Spaces of their numbers; None where the file states it.
    view_a, view_b
        Views that they are seen through, if they are scene-referred.
    layer_a, layer_b, part_a, part_b
        Layers and parts of OpenEXR files.
    """
    return compare_renders(
        Input(name=str(a), space=in_a, view=view_a, layer=layer_a, part=part_a),
        Input(name=str(b), space=in_b, view=view_b, layer=layer_b, part=part_b),
        display=display,
        align=align,
        noise=None if noise is None else str(noise),
        colour_only=colour_only,
        pictures=pictures,
        config=config_name(config),
    )
