"""Write the picture of the explanation page: what wrong readings look like, from the demo scene.

``python tools/write_explanation_pictures.py`` needs the development installation.
"""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

from PIL import Image

from primecoat import workflow

OUT = Path(__file__).parents[1] / "docs" / "pictures" / "misreadings.png"

ROWS = (
    ("teapot_color.png", ("srgb_rec709_scene", "lin_ap1_scene")),
    ("courtyard_environment.hdr", ("lin_rec709_scene", "srgb_rec709_scene")),
)
"""Each picture with its right reading, then with a wrong one."""

SIDE, GAP, SURROUND = 256, 8, (119, 119, 119)


def main() -> None:
    """Make the demo, show each picture both ways, and lay them out on a neutral ground."""
    with tempfile.TemporaryDirectory() as folder:
        scene = Path(folder) / "tea"
        workflow.demo(scene)
        rows = [
            [_seen(scene / "textures" / name, one) for one in readings] for name, readings in ROWS
        ]
    heights = [max(one.height for one in row) for row in rows]
    size = (2 * SIDE + 3 * GAP, sum(heights) + (len(rows) + 1) * GAP)
    sheet = Image.new("RGB", size, SURROUND)
    top = GAP
    for row, height in zip(rows, heights, strict=True):
        for column, one in enumerate(row):
            sheet.paste(one, (GAP + column * (SIDE + GAP), top))
        top += height + GAP
    sheet.save(OUT, optimize=True)
    print(f"Written: {OUT.name}")


def _seen(path: Path, reading: str) -> Image.Image:
    made = workflow.shown(path, reading, size=(SIDE, SIDE))
    return Image.open(io.BytesIO(made.png)).convert("RGB")


if __name__ == "__main__":
    main()
