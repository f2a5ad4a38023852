"""A small scene, and a desk on it without a server."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.desk.windows import Window
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked

P3 = b.chunk(b"cICP", bytes((12, 13, 0, 1)))
"""Says P3-D65 primaries and the sRGB curve (ITU-T H.273: 12 and 13), where the slot says sRGB."""


@pytest.fixture(scope="session")
def kept_scene(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A glTF scene: two colours, one of them likely at best, a normal map, a factor, a light."""
    folder = tmp_path_factory.mktemp("kept") / "tea"
    (folder / "maps").mkdir(parents=True)
    (folder / "maps" / "cup.png").write_bytes(b.png(4))
    (folder / "maps" / "cup_normal.png").write_bytes(b.png_of(b.normal_pixels()))
    (folder / "maps" / "odd.png").write_bytes(b.png(3, "uint8", P3))
    material = {
        "name": "glaze",
        "alphaMode": "MASK",
        "pbrMetallicRoughness": {
            "baseColorTexture": {"index": 0},
            "baseColorFactor": [0.5, 0.4, 0.3, 1.0],
        },
        "normalTexture": {"index": 1},
        "emissiveTexture": {"index": 2},
    }
    lights = [{"type": "point", "color": [1.0, 0.5, 0.25]}]
    images = [{"uri": f"maps/{name}.png"} for name in ("cup", "cup_normal", "odd")]
    document = b.gltf(images, [material], extensions={"KHR_lights_punctual": {"lights": lights}})
    b.write_gltf(folder / "tea.gltf", document)
    return folder


@pytest.fixture
def scene(kept_scene: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The scene in a folder of its own."""
    monkeypatch.delenv("OCIO", raising=False)
    shutil.copytree(kept_scene, tmp_path / "tea")
    return tmp_path / "tea" / "tea.gltf"


@pytest.fixture(scope="session")
def kept_window(kept_scene: Path) -> Iterator[Window]:
    """One window of a desk on a scene that no test changes."""
    scene = kept_scene / "tea.gltf"
    with Window(build_desk(Asked(target=scene), workflow.survey(scene))) as opened:
        yield opened


@pytest.fixture
def window(scene: Path) -> Iterator[Window]:
    """One window of a desk on the scene."""
    asked = Asked(target=scene)
    desk = build_desk(asked, workflow.survey(scene))
    with Window(desk) as opened:
        yield opened
