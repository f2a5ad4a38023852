from __future__ import annotations

import base64
import json
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.images.oiio import write_pixels

VOID = {"br", "col", "hr", "img", "link", "meta"}

SHEET = """\
path,owner,slot,channels,space,value
textures/glaze_color.png,glaze,base_color,rgb,srgb_texture,
textures/glaze_rough.png,glaze,roughness,r,,
textures/sky.exr,sky,environment,rgb,,
textures/gone_color.png,cork,base_color,rgb,,
textures/broken_color.png,clay,base_color,rgb,,
,lamp,light_color,,lin_rec709_scene,0 0.9 0.1
,ribbon,base_color,,,0.5 0.2 0.1
"""


class Page(HTMLParser):
    """A page, read strictly: every element must be closed, in order."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.source = source
        self.words = ""
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self._open: list[str] = []
        self.feed(source)
        self.close()
        assert not self._open, f"never closed: {self._open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(dict(attrs)) == len(attrs), f"an attribute stands twice in {tag}: {attrs}"
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open, f"</{tag}> closes nothing"
        assert self._open[-1] == tag, f"</{tag}> closes {self._open[-1]}"
        self._open.pop()

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self._open):
            self.words += data

    def values(self, name: str) -> list[str]:
        """Return the values of all attributes of a name."""
        return [attributes[name] or "" for _, attributes in self.elements if name in attributes]

    def with_class(self, wanted: str) -> list[str]:
        """Return the elements that have a class."""
        return [tag for tag, at in self.elements if wanted in (at.get("class") or "").split()]


@pytest.fixture(scope="session")
def read_page() -> Callable[[str], Page]:
    return Page


@pytest.fixture(scope="session")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a scene sheet: plain, float, missing and damaged pictures, picked colours."""
    folder = tmp_path_factory.mktemp("studio")
    textures = folder / "textures"
    textures.mkdir()
    rng = np.random.default_rng(7)
    colour = rng.integers(40, 200, (16, 24, 3), dtype=np.uint8)
    write_pixels(textures / "glaze_color.png", colour)
    write_pixels(textures / "glaze_rough.png", colour[..., :1])
    write_pixels(textures / "sky.exr", colour.astype(np.float32) / 20)
    whole = (textures / "glaze_color.png").read_bytes()
    (textures / "broken_color.png").write_bytes(whole[: len(whole) // 2])
    (folder / "shop.csv").write_text(SHEET, encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def studio_survey(studio: Path) -> Survey:
    return workflow.survey(studio)


@pytest.fixture
def embedded_survey(tmp_path: Path) -> Survey:
    """A glTF file that holds its only picture itself."""
    write_pixels(tmp_path / "cup.png", np.full((8, 8, 3), 90, dtype=np.uint8))
    data = base64.b64encode((tmp_path / "cup.png").read_bytes()).decode()
    (tmp_path / "cup.png").unlink()
    document = {
        "asset": {"version": "2.0"},
        "images": [{"uri": f"data:image/png;base64,{data}"}],
        "textures": [{"source": 0}],
        "materials": [{"name": "cup", "pbrMetallicRoughness": {"baseColorTexture": {"index": 0}}}],
    }
    (tmp_path / "cup.gltf").write_text(json.dumps(document), encoding="utf-8")
    return workflow.survey(tmp_path / "cup.gltf")
