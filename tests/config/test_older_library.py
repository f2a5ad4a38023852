"""Written configs in older versions of OpenColorIO, each in an environment of its own.

``PRIMECOAT_OLDER_OPENCOLORIO=1 python -m pytest tests/config/test_older_library.py`` makes the
environments with packages from PyPI; without the variable the tests are skipped.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.plan_content import plan_content
from primecoat.config.write import write_config

ASKED = "PRIMECOAT_OLDER_OPENCOLORIO"

SCRIPT = """
import json, sys
import PyOpenColorIO as ocio
config = ocio.Config.CreateFromFile(sys.argv[1])
config.validate()
built = 0
for name in config.getColorSpaceNames(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL):
    config.getProcessor(name, "scene_linear")
    config.getProcessor("scene_linear", name)
    built += 2
for display in config.getDisplays():
    for view in config.getViews(display):
        config.getProcessor("scene_linear", display, view, ocio.TRANSFORM_DIR_FORWARD)
        built += 1
read = {path: config.getColorSpaceFromFilepath(path)[0] for path in sys.argv[2:]}
print(json.dumps({"version": ocio.GetVersion(), "built": built, "read": read}))
"""

PATHS = {
    "C:\\\\tea set\\\\bowl_RAW.1001.exr": "Raw",
    "/tea/bowl_acescg.<UDIM>.tx": "ACEScg",
    "/tea/raw/strawberry.exr": UNKNOWN,
    "/tea_data/bowl.data": UNKNOWN,
}


@pytest.mark.skipif(not os.environ.get(ASKED), reason=f"makes environments; set {ASKED}=1")
@pytest.mark.parametrize(
    ("base", "library"),
    [
        (DEFAULT_CONFIG, "2.5.*"),
        ("cg-config-v4.0.0_aces-v2.0_ocio-v2.5", "2.5.*"),
        ("studio-config-v1.0.0_aces-v1.3_ocio-v2.1", "2.5.*"),
        # the oldest on PyPI; it holds a config to the features of the version that it states
        ("cg-config-v1.0.0_aces-v1.3_ocio-v2.1", "2.2.*"),
    ],
)
def test_loads_in_an_older_library(base: str, library: str, tmp_path: Path):
    """It loads, is valid, builds as a whole and reads names alike."""
    content = plan_content(base=base)
    written = write_config(content, tmp_path / "tea.ocio")
    subprocess.run([sys.executable, "-m", "venv", tmp_path / "older"], check=True)
    python = str(tmp_path / "older" / "bin" / "python")
    install = [python, "-m", "pip", "install", "--quiet", "--only-binary=:all:"]
    subprocess.run([*install, f"opencolorio=={library}", "numpy<2"], check=True)
    ran = subprocess.run(
        [python, "-c", SCRIPT, written.path, *PATHS], check=True, capture_output=True, text=True
    )
    told = json.loads(ran.stdout)
    assert told["version"].startswith(library.removesuffix("*"))
    assert told["built"] == written.processors - len(content.looks) > 60
    assert told["read"] == PATHS


def test_the_oldest_base_uses_nothing_newer():
    """What is written from the oldest base states 2.1 and no key that came later."""
    content = plan_content(base="cg-config-v1.0.0_aces-v1.3_ocio-v2.1")
    assert content.version == (2, 1)
    assert not content.keeps_ids
    assert sorted(space.reading for space in content.spaces if space.added) == [
        "g22_adobergb_scene",
        "g22_rec709_display",
        "hlg_rec2020_display",
        "lin_adobergb_scene",
        "lin_ciexyzd65_scene",
        "srgb_p3d65_display",
        "srgb_p3d65_scene",
    ]
