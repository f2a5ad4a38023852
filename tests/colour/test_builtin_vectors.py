"""OpenColorIO's own vectors for its built-in transforms, through our door."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.ocio import convert

VECTORS = rows("builtin-vectors__opencolorio-tests.csv")
STYLES = list(dict.fromkeys(v["transform"] for v in VECTORS))
SPACE = """  - !<ColorSpace>
    name: {name}
    from_scene_reference: !<BuiltinTransform> {{style: {style}}}
"""


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A config with one colour space for each built-in transform."""
    path: Path = tmp_path_factory.mktemp("config") / "vectors.ocio"
    spaces = "".join(SPACE.format(name=f"v{i}", style=s) for i, s in enumerate(STYLES))
    path.write_text(
        "ocio_profile_version: 2.5\n"
        "environment: {}\n"
        "roles: {default: plain}\n"
        "displays:\n  sRGB:\n    - !<View> {name: Raw, colorspace: plain}\n"
        "colorspaces:\n  - !<ColorSpace>\n    name: plain\n" + spaces
    )
    return str(path)


@pytest.mark.parametrize(
    "vector", VECTORS, ids=[f"{v['transform']} of {v['in_1']}" for v in VECTORS]
)
def test_vector(vector: dict[str, str], config: str):
    """Each vector comes out within the tolerance that OpenColorIO's own test states for it."""
    given = tuple(float(vector[f"in_{i}"]) for i in (1, 2, 3))
    expected = np.array([float(vector[f"out_{i}"]) for i in (1, 2, 3)])
    name = f"v{STYLES.index(vector['transform'])}"
    found = convert(given, "plain", name, config)
    allowed = float(vector["tolerance"]) * np.maximum(1.0, np.abs(expected))
    assert (np.abs(found - expected) <= allowed).all(), found
