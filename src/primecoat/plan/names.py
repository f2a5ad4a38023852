"""How a reference in a scene is written once its image has another name."""

from __future__ import annotations

import os
import re
from pathlib import Path

from primecoat.inventory import SceneUse
from primecoat.scenes.registry import FORMATS

_LAST = re.compile(r"[^/\\]*$")


def new_reference(use: SceneUse, old_folder: Path, target: Path) -> str:
    """Return the text that makes a reference lead to ``target``.

    The folder part stays as the artist wrote it where it leads to the right folder; otherwise the
    reference is written anew, relative to the scene.

    Parameters
    ----------
    use
        A use whose reference is to change.
    old_folder
        Folder that the reference leads to now.
    target
        New file (placeholders verbatim), absolute.
    """
    anchor = use.scene.path.parent
    write = FORMATS[use.scene.format].reference_text
    written = use.reference.written
    wanted = Path(os.path.abspath(anchor / use.reference.text.replace("\\", "/"))).parent
    if use.reference.embedded is None and wanted == old_folder == target.parent:
        return _LAST.sub(lambda _: write(target.name), written, count=1)
    return write(Path(os.path.relpath(target, anchor)).as_posix())
