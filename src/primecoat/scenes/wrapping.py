"""What a picture shows beyond its edges, in the words of each standard."""

from __future__ import annotations

from typing import Final, Literal

Wrap = Literal["repeat", "clamp", "mirror", "black"]
"""It begins anew, its edge goes on, it is turned round each time, or there is nothing."""

Wraps = tuple[Wrap, Wrap]
"""Along its rows (u), and along its columns (v)."""

REPEATED: Final[Wraps] = ("repeat", "repeat")

GLTF: Final[dict[int, Wrap]] = {10497: "repeat", 33071: "clamp", 33648: "mirror"}
"""Source: glTF 2.0, ``sampler.wrapS``; 10497 where nothing is said."""

USD: Final[dict[str, Wrap]] = {
    "repeat": "repeat",
    "clamp": "clamp",
    "mirror": "mirror",
    "black": "black",
}
"""Source: UsdPreviewSurface Specification 2.5, UsdUVTexture ``wrapS``; ``useMetadata``, which
stands where nothing is said, leaves it to the file: those say nothing, and are repeated."""

MATERIALX: Final[dict[str, Wrap]] = {
    "periodic": "repeat",
    "clamp": "clamp",
    "mirror": "mirror",
    "constant": "black",
}
"""Source: MaterialX 1.39, image nodes, ``uaddressmode``; ``periodic`` where nothing is said."""
