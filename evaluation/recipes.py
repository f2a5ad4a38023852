"""Draw how a picture is stored: which file, which space, which statement of it."""

from __future__ import annotations

from dataclasses import replace

from evaluation.contents.content import Content, Rng
from evaluation.writing import Recipe, carries
from primecoat.colour.ids import DATA, SPACES

SRGB = "srgb_rec709_scene"

_FILES_OF_COLOUR = (
    ("png", "uint8", 30), ("jpg", "uint8", 26), ("png", "uint16", 8), ("tif", "uint8", 6),
    ("tif", "uint16", 6), ("webp", "uint8", 8), ("tga", "uint8", 5), ("exr", "half", 9),
    ("tif", "float", 2),
)  # fmt: skip
_FILES_OF_DATA = (
    ("png", "uint8", 34), ("jpg", "uint8", 20), ("png", "uint16", 11), ("tif", "uint8", 6),
    ("tif", "uint16", 5), ("webp", "uint8", 5), ("tga", "uint8", 7), ("exr", "half", 7),
    ("exr", "float", 3), ("tif", "float", 2),
)  # fmt: skip
_FILES_OF_LIGHT = (
    ("exr", "half", 45),
    ("exr", "float", 15),
    ("hdr", "float", 32),
    ("tif", "float", 8),
)
_FILES_OF_NUMBERS = (("exr", "half", 40), ("exr", "float", 45), ("tif", "float", 15))
"""Ending, pixel type, how often."""

_STATEMENTS = {
    "png": ("srgb", "srgb", "icc", "icc", "cicp", "gama_chrm", "gama"),
    "jpg": ("icc", "icc", "exif"),
    "tif": ("icc",),
    "webp": ("icc",),
    "exr": ("id", "id", "chromaticities"),
    "hdr": ("primaries",),
}

_WRITERS = {
    "png": ("Pillow", "imagecodecs"),
    "jpg": ("Pillow", "imagecodecs"),
    "tif": ("Pillow", "tifffile", "tifffile"),
    "webp": ("Pillow",),
    "tga": ("Pillow",),
    "exr": ("OpenEXR",),
    "hdr": ("imagecodecs",),
}

_FALSE = (
    "srgb_p3d65_scene",
    "g22_adobergb_scene",
    "lin_rec709_scene",
    "srgb_ap1_scene",
    "g22_rec709_scene",
)
"""Spaces that pictures are truly in whose file says another one."""


def choose_recipe(rng: Rng, content: Content) -> tuple[Recipe, str]:
    """Return how a picture is stored, and whether it says so: ``true``, ``none``, ``lying``."""
    recipe, header = _of_data(rng, content) if content.kind == "data" else _of_colour(rng, content)
    writers = _WRITERS[recipe.ending]
    writer = str(rng.choice(writers))
    channels = content.pixels.shape[2]
    if recipe.ending in ("png", "tif") and channels == 2:
        writer = {"png": "imagecodecs", "tif": "tifffile"}[recipe.ending]
    elif (recipe.ending, recipe.pixel_type) == ("png", "uint16") or recipe.pixel_type == "float":
        writer = writers[-1]
    elif content.subject == "picture" and channels == 3 and recipe.ending == "png":
        writer = str(rng.choice(("palette", writer)))
    return replace(recipe, writer=writer), header


def _file(rng: Rng, files: tuple[tuple[str, str, int], ...], channels: int) -> tuple[str, str]:
    fitting = [f for f in files if _holds(f[0], channels)]
    weights = [f[2] for f in fitting]
    at = int(rng.choice(len(fitting), p=[x / sum(weights) for x in weights]))
    return fitting[at][0], fitting[at][1]


def _holds(ending: str, channels: int) -> bool:
    if channels == 4:
        return ending not in ("jpg", "hdr")
    if channels == 2:
        return ending in ("png", "tif", "exr")
    return channels == 3 or ending != "hdr"


def _of_data(rng: Rng, content: Content) -> tuple[Recipe, str]:
    files = _FILES_OF_NUMBERS if content.unbounded else _FILES_OF_DATA
    ending, pixel_type = _file(rng, files, content.pixels.shape[2])
    recipe = Recipe(ending=ending, pixel_type=pixel_type, stored=DATA)
    dice = float(rng.random())
    if ending == "exr" and dice < 0.35:
        return replace(recipe, statement="id", stated=DATA), "true"
    # Programs stamp what they know on every file, so on data too.
    habit = {"png": "srgb", "jpg": "exif", "tif": "icc", "webp": "icc", "exr": "chromaticities"}
    if dice < 0.7 or ending not in habit or content.pixels.shape[2] == 2:
        return recipe, "none"
    stated = "lin_rec709_scene" if ending == "exr" else SRGB
    return replace(recipe, statement=habit[ending], stated=stated), "lying"


def _of_colour(rng: Rng, content: Content) -> tuple[Recipe, str]:
    dice = float(rng.random())
    if dice < (0.45 if content.slot == "backplate" else 0.25):
        return _of_any_space(rng, content), "true"
    files = _FILES_OF_LIGHT if content.unbounded else _FILES_OF_COLOUR
    ending, pixel_type = _file(rng, files, content.pixels.shape[2])
    linear = pixel_type in ("half", "float")
    usual = "lin_rec709_scene" if linear else SRGB
    recipe = Recipe(ending=ending, pixel_type=pixel_type, stored=usual)
    kinds = [
        s
        for s in _STATEMENTS.get(ending, ())
        if carries(ending, pixel_type, s, usual, grey=content.grey)
    ]
    if kinds and dice < 0.55:
        return replace(recipe, statement=str(rng.choice(kinds)), stated=usual), "true"
    if kinds and dice < 0.59 and not content.grey:
        false = "lin_ap1_scene" if linear else str(rng.choice(_FALSE))
        kind = str(rng.choice(kinds))
        return replace(recipe, stored=false, statement=kind, stated=usual), "lying"
    if rng.random() < 0.15 and not content.grey:
        scene = [s for s in SPACES if SPACES[s].referred == "scene" and SPACES[s].linear == linear]
        recipe = replace(recipe, stored=str(rng.choice(scene)))
    return recipe, "none"


def _of_any_space(rng: Rng, content: Content) -> Recipe:
    """Return a recipe in any space that fits, the display's only for a backplate, and told."""
    files = _FILES_OF_LIGHT if content.unbounded else _FILES_OF_COLOUR
    fitting: dict[str, list[Recipe]] = {}
    for space in SPACES:
        display = SPACES[space].referred == "display"
        if (display and content.slot != "backplate") or (
            content.unbounded and not SPACES[space].linear
        ):
            continue
        for ending, pixel_type, _ in files:
            for kind in dict.fromkeys(_STATEMENTS.get(ending, ())):
                if _holds(ending, content.pixels.shape[2]) and carries(
                    ending, pixel_type, kind, space, grey=content.grey
                ):
                    recipe = Recipe(
                        ending=ending,
                        pixel_type=pixel_type,
                        stored=space,
                        statement=kind,
                        stated=space,
                    )
                    fitting.setdefault(space, []).append(recipe)
    space = str(rng.choice(list(fitting)))
    return fitting[space][int(rng.integers(len(fitting[space])))]
