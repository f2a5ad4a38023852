from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.scenes import builders as b


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Terminal:
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """A sound glTF scene in a folder of its own: colour, cut-out, normal map, a factor, a light."""
    folder = tmp_path / "tea"
    (folder / "maps").mkdir(parents=True)
    (folder / "maps" / "cup.png").write_bytes(b.png(4))
    (folder / "maps" / "cup_normal.png").write_bytes(b.png_of(b.normal_pixels()))
    material = {
        "name": "glaze",
        "alphaMode": "MASK",
        "pbrMetallicRoughness": {
            "baseColorTexture": {"index": 0},
            "baseColorFactor": [0.5, 0.4, 0.3, 1.0],
        },
        "normalTexture": {"index": 1},
    }
    lights = [{"type": "point", "color": [1.0, 0.5, 0.25]}]
    images = [{"uri": "maps/cup.png"}, {"uri": "maps/cup_normal.png"}]
    document = b.gltf(images, [material], extensions={"KHR_lights_punctual": {"lights": lights}})
    return b.write_gltf(folder / "tea.gltf", document)
