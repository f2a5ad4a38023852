"""Real pictures that nobody here made.

Source: the npm package ``@pmndrs/assets`` 1.7.0, licence CC0-1.0 as its package.json states: normal
maps, environments, textures and material spheres, each as base64 in a JavaScript module.
"""

from __future__ import annotations

import base64
import re
import tarfile
from pathlib import Path

import pytest
from tests.open_data.npm import Package, unpacked

PICTURES = Package(
    name="@pmndrs/assets@1.7.0",
    archive="pmndrs-assets-1.7.0.tgz",
    sha256="152bd218a3390703f184f0c6ce16e73c8f0a87f32d38530d418a09d33d8208dc",
)

_MODULE = re.compile(r"""export default ['"]data:[a-z0-9/+.-]+;base64,([A-Za-z0-9+/=]+)['"]""")


@pytest.fixture(scope="session")
def open_pictures() -> Path:
    """Return a folder with one folder each of ``normals``, ``hdri``, ``textures``, ``matcaps``."""
    return unpacked(PICTURES, _take_pictures)


def _take_pictures(members: tarfile.TarFile, folder: Path) -> None:
    for member in members:
        parts = Path(member.name).parts
        stream = members.extractfile(member) if member.name.endswith(".js") else None
        match = _MODULE.match(stream.read().decode()) if stream else None
        if match and len(parts) == 3 and parts[1] != "fonts":
            target = folder / parts[1] / Path(parts[2]).stem
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(base64.b64decode(match[1]))
