"""Write the demo scene into a folder."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from primecoat.demo.gltf_scene import gltf_scene
from primecoat.demo.materialx_scene import materialx_document
from primecoat.demo.pictures import PictureFile, picture_files
from primecoat.demo.placing import put, refuse_changed_files
from primecoat.demo.sheet import sheet_rows, sheet_text
from primecoat.demo.tableware import parts
from primecoat.demo.truth import MATERIALX, SCENE, SHEET, USD, truth
from primecoat.demo.usd_scene import usd_scene
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.jobs import Progress

TRUTH = "truth.json"

PICTURES, OF_TWIN = 45, 47
"""How many pictures are painted for the scene with its faults, and for its twin without."""


def write_demo(
    folder: Path, *, clean: bool = False, progress: Progress | None = None
) -> tuple[Path, ...]:
    """Write the demo scene with its pictures and its known answers.

    Parameters
    ----------
    folder
        Where to; made if it is not there. A folder that already holds this very scene is
        left as it is, and one that holds a part of it is completed.
    clean
        True for the twin without faults.
    progress
        Told how many pictures are painted.

    Returns
    -------
    tuple of pathlib.Path
        All files of the scene.

    Raises
    ------
    UseError
        If the folder holds anything else, or cannot be written to.
    """
    texts = _texts(clean)
    _refuse_other_content(folder, texts)
    refuse_changed_files(folder, texts)
    with tempfile.TemporaryDirectory(prefix="primecoat-demo-") as aside:
        built = Path(aside)
        (built / "textures").mkdir()
        for name, content in texts.items():
            (built / name).write_bytes(content)
        with ThreadPoolExecutor() as writers:  # encoding overlaps with painting
            list(writers.map(lambda picture: picture.write(built), _told(clean, progress)))
        names = [*texts, *sorted(f"textures/{p.name}" for p in (built / "textures").iterdir())]
        refuse_changed_files(folder, {name: (built / name).read_bytes() for name in names})
        return tuple(put(built / name, folder / name) for name in names)


def _told(clean: bool, progress: Progress | None) -> Iterator[PictureFile]:
    """Yield the pictures; painting them is what takes time, so that is what is told."""
    count = OF_TWIN if clean else PICTURES
    if progress is not None:
        progress(0, count, 0, 0)
    for done, picture in enumerate(picture_files(clean), start=1):
        if progress is not None:
            progress(done, count, 0, 0)
        yield picture


def _texts(clean: bool) -> dict[str, bytes]:
    """Return the scene files by name; the truth first: it marks the folder as ours."""
    document, buffer = gltf_scene(clean)
    rows = sheet_rows(clean)
    materials = materialx_document(document, rows)
    stage = usd_scene(document, parts())
    return {
        TRUTH: dumps(truth(document, rows, materials, stage, clean)).encode(),
        SCENE: dumps(document).encode(),
        document["buffers"][0]["uri"]: buffer,
        MATERIALX: materials.text.encode(),
        USD: stage.text.encode(),
        SHEET: sheet_text(rows).encode(),
    }


def _refuse_other_content(folder: Path, texts: Mapping[str, bytes]) -> None:
    if folder.exists() and not folder.is_dir():
        raise UseError(f"{folder} is a file.", "Name a folder that is empty or not there yet.")
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    mark = folder / TRUTH
    if not (mark.is_file() and mark.read_bytes() == texts[TRUTH]):
        raise UseError(
            f"The folder {folder} is not empty and does not hold this demo scene.",
            "Name a folder that is empty or not there yet.",
        )
