"""How a reference in a scene is written once its image has another name."""

from __future__ import annotations

import os
import re
from pathlib import Path

from primecoat.scenes.model import ImageReference, Scene
from primecoat.scenes.registry import FORMATS

_LAST = re.compile(r"[^/\\]*$")
_SEPARATOR = re.compile(r"[/\\]")


def new_reference(scene: Scene, reference: ImageReference, target: Path) -> str:
    """Return the text that makes a reference lead to ``target``.

    The folder part stays as the artist wrote it where it leads to the right folder; otherwise the
    reference is written anew, relative to the scene.

    Parameters
    ----------
    scene, reference
        The reference that is to change.
    target
        New file (placeholders verbatim), absolute.
    """
    anchor = scene.path.parent
    write = FORMATS[scene.format].reference_text
    written, text = reference.written, reference.text
    leads_to = Path(os.path.abspath(anchor / text.replace("\\", "/"))).parent
    none_encoded = len(_SEPARATOR.findall(written)) == len(_SEPARATOR.findall(text))
    plain = none_encoded and "\\" not in written
    if reference.embedded is None and leads_to == target.parent and plain:
        return _LAST.sub(lambda _: write(target.name), written, count=1)
    return write(Path(os.path.relpath(target, anchor)).as_posix())
