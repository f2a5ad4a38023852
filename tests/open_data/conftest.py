"""Real pictures that nobody here made; ``pictures.py`` names their packages."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.open_data.pictures import package_folder


@pytest.fixture(scope="session")
def open_pictures() -> Path:
    """Return a folder with one folder each of ``normals``, ``hdri``, ``textures``, ``matcaps``."""
    return package_folder("@pmndrs/assets")
