"""Write two pictures of the documentation from the demo scene, into ``docs/pictures``.

``misreadings.png`` shows what wrong readings look like; ``proof-change.png`` is the map of a proof
of the demo with three planted misreadings. ``python tools/write_explanation_pictures.py`` needs the
development installation.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

from primecoat import workflow
from primecoat.colour.ocio import convert
from primecoat.images.oiio import read_pixels, write_pixels

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"

PLANTED = ("paving_color.jpg", "oak_board_color.jpg", "cloth_color.png")
"""They are made to hold light, and are read as sRGB-encoded all the same."""

ROWS = (
    ("teapot_color.png", ("srgb_rec709_scene", "lin_ap1_scene")),
    ("courtyard_environment.hdr", ("lin_rec709_scene", "srgb_rec709_scene")),
)
"""Each picture with its right reading, then with a wrong one."""

SIDE, GAP, SURROUND = 256, 8, (119, 119, 119)


def main() -> None:
    """Make the demo, and both pictures of it."""
    with tempfile.TemporaryDirectory() as folder:
        scene = Path(folder) / "tea"
        workflow.demo(scene)
        _misreadings(scene / "textures")
        _proof(scene, Path(folder) / "proof")


def _misreadings(textures: Path) -> None:
    """Show each picture both ways, and lay them out on a neutral ground."""
    rows = [[_seen(textures / name, one) for one in readings] for name, readings in ROWS]
    heights = [max(one.height for one in row) for row in rows]
    size = (2 * SIDE + 3 * GAP, sum(heights) + (len(rows) + 1) * GAP)
    sheet = Image.new("RGB", size, SURROUND)
    top = GAP
    for row, height in zip(rows, heights, strict=True):
        for column, one in enumerate(row):
            sheet.paste(one, (GAP + column * (SIDE + GAP), top))
        top += height + GAP
    sheet.save(PICTURES / "misreadings.png", optimize=True)


def _proof(scene: Path, out: Path) -> None:
    """Plant the misreadings, say what is right, and keep the map of the change."""
    survey = workflow.survey(scene / "tea.gltf")
    for name in PLANTED:
        path = scene / "textures" / name
        light = convert(
            read_pixels(path).astype(np.float32) / 255, "srgb_rec709_scene", "lin_rec709_scene"
        )
        write_pixels(path, np.rint(light * 255).clip(0, 255).astype(np.uint8))
        workflow.decide(survey, f"textures/{name}", "lin_rec709_scene")
    found = workflow.proof(workflow.survey(scene / "tea.gltf"), size=(480, 270), samples=16)
    workflow.save_proof(found, out)
    shutil.copyfile(out / "change.png", PICTURES / "proof-change.png")


def _seen(path: Path, reading: str) -> Image.Image:
    made = workflow.shown(path, reading, size=(SIDE, SIDE))
    return Image.open(io.BytesIO(made.png)).convert("RGB")


if __name__ == "__main__":
    main()
