"""What a config reads, as a person and as a program see it."""

from __future__ import annotations

import copy
import io
import json
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from rich.console import Console

from primecoat import workflow
from primecoat.config.config_reading import read_config
from primecoat.config.config_rows import ConfigReading
from primecoat.documents import dumps
from primecoat.images.oiio import write_pixels
from primecoat.report.config_read_document import config_read_document
from primecoat.report.config_read_view import config_read_view

CONFIG = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> ConfigReading:
    """Rows of every verdict, a file that folders mislead, one that is not there."""
    folder = tmp_path_factory.mktemp("pottery")
    (folder / "surfaces").mkdir()
    pixels = np.random.default_rng(2).integers(30, 220, (12, 12, 3), dtype=np.uint8)
    for name in ("bowl_color.png", "bowl_normal.png", "sky.hdr", "clay_open.png", "surfaces/a.png"):
        linear = pixels.astype(np.float32) / 255
        write_pixels(folder / name, linear if name.endswith(".hdr") else pixels)
    (folder / "shop.csv").write_text(
        "path,owner,slot,channels,space,value\n"
        "bowl_color.png,glaze,base_color,rgb,srgb_texture,\n"
        "bowl_normal.png,glaze,normal,rgb,,\n"
        "sky.hdr,sky,environment,rgb,lin_rec709,\n"
        "clay_open.png,clay,base_color,rgb,srgb_texture,\n"
        "surfaces/a.png,jar,base_color,rgb,srgb_texture,\n"
        "surfaces/a.png,jar,occlusion,r,data,\n"
        "gone.png,cork,base_color,rgb,srgb_texture,\n",
        encoding="utf-8",
    )
    config = copy.deepcopy(ocio.Config.CreateFromBuiltinConfig(CONFIG))
    config.addColorSpace(ocio.ColorSpace(name="unknown", isData=True))
    rules = ocio.FileRules()
    rules.insertRule(0, "open", "unknown", "*_open", "*")
    rules.insertRule(1, "colours", "sRGB - Texture", "*_color", "png")
    rules.insertPathSearchRule(2)
    rules.setDefaultRuleColorSpace("sRGB - Texture")
    config.setFileRules(rules)
    path = folder / "shop.ocio"
    path.write_text(config.serialize(), encoding="utf-8")
    return read_config(workflow.survey(folder / "shop.csv"), str(path))


def printed(reading: ConfigReading, width: int) -> list[str]:
    console = Console(width=width, file=io.StringIO(), highlight=False)
    with console.capture() as captured:
        console.print(config_read_view(reading))
    return captured.get().splitlines()


@pytest.mark.parametrize("width", [80, 120])
def test_table_fits_and_names_every_file(reading, width):
    lines = printed(reading, width)
    assert max(map(len, lines)) <= width
    text = " ".join(word for line in lines for word in line.split())
    for row in reading.rows:
        assert row.file in text
    for words in (
        "Data misread as colour: 1 file",
        "Colour misread: 1 file",
        "Left open: the config says that it does not know: 1 file",
        "Nobody can say whether it is right: 1 file",
        "Read as they must be: 1 file",
        "*_color.png",
        "0.216",
        "-2.73 stops",
        "The path-search rule found 'aces' in the name of a folder.",
        "no file rule can serve both",
        "Not asked about: there is no file.",
        "5 files: 2 misread, 1 left open, 1 not known, 1 right.",
    ):
        assert words in text


def test_document(reading):
    document = json.loads(dumps(config_read_document(reading)))
    assert document["document"] == "primecoat.config_read/1"
    assert document["ready"] is False
    assert document["counts"] == {"misread": 2, "left open": 1, "cannot say": 1, "agrees": 1}
    assert document["seen"]["view"] == "ACES 2.0 - SDR 100 nits (Rec.709)"
    files = {row["file"]: row for row in document["files"]}
    normal = files["bowl_normal.png"]
    assert (normal["verdict"], normal["kind"]) == ("misread", "data as colour")
    assert normal["cost"]["code_128"] == pytest.approx(0.2159, abs=1e-4)  # IEC 61966-2-1
    assert normal["cost"]["flat_turned"] > 40
    assert normal["rule"]["only_default"] is True
    assert Path(normal["path"]).is_absolute()
    sky = files["sky.hdr"]
    assert set(sky["cost"]["ciede2000"]) == {"mean", "p95"}
    assert len(sky["cost"]["mid_grey"]["right"]) == 3
    jar = files["surfaces/a.png"]
    assert jar["conflicts"] is True
    assert (jar["rule"]["word"], jar["rule"]["in_folder"]) == ("aces", True)
    assert files["bowl_color.png"]["rule"]["pattern"] == "*_color.png"
    assert document["silent"] == [{"image": "gone.png", "why": "there is no file"}]
