"""File names as people give them: trade words in many styles, bare numbers, misleading ones.

The words are common practice, no source.
"""

from __future__ import annotations

from evaluation.contents.content import Rng

WORDS: dict[str, tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]] = {
    # whole words, short forms, words of other languages
    "base_color": (
        ("basecolor", "base_color", "albedo", "diffuse", "color", "colour"),
        ("col", "diff", "alb", "bc", "d"),
        ("farbe", "couleur", "colore"),
    ),
    "picture": (("poster", "logo", "decal", "print", "label", "photo"), ("pic", "dcl"), ("bild",)),
    "emissive": (("emissive", "emission", "glow"), ("emi", "em", "e"), ("leuchten",)),
    "specular_color": (("specular", "specularcolor", "spec_color"), ("spec", "spc"), ("glanz",)),
    "sheen_color": (("sheen", "sheencolor", "sheen_color"), ("sheen",), ("sheen",)),
    "coat_color": (("coat_color", "coatcolor", "coattint"), ("coat_col",), ("lack_farbe",)),
    "transmission_color": (("transmission_color", "glasstint"), ("trans_col",), ("glasfarbe",)),
    "subsurface_color": (("subsurface", "subsurfacecolor", "scatter"), ("sss",), ("streuung",)),
    "matcap": (("matcap", "sphere", "ball"), ("mc",), ("kugel",)),
    "environment": (("environment", "hdri", "sky", "panorama"), ("env", "hdr"), ("himmel",)),
    "backplate": (("backplate", "plate", "background"), ("bp", "bg"), ("hintergrund",)),
    "normal": (("normal", "normals", "normalmap"), ("nrm", "nor", "norm", "n"), ("normalen",)),
    "object_normal": (("object_normal", "normal_object"), ("nrm_os",), ("normalen",)),
    "roughness": (("roughness", "rough"), ("rgh", "r", "rough"), ("rauheit", "rugosite")),
    "glossiness": (("glossiness", "gloss", "smoothness"), ("gls", "g", "gloss"), ("glanz",)),
    "metalness": (("metalness", "metallic", "metal"), ("mtl", "m", "met"), ("metall",)),
    "occlusion": (("occlusion", "ambientocclusion", "ao"), ("ao", "occ"), ("verdeckung",)),
    "height": (("height", "displacement", "bump"), ("disp", "h", "dsp"), ("hoehe", "hauteur")),
    "opacity": (("opacity", "alpha", "cutout"), ("opac", "o", "alpha"), ("deckkraft",)),
    "mask": (("mask", "dirtmask", "blendmask"), ("msk", "mask"), ("maske", "masque")),
    "id": (("id", "materialid", "idmask"), ("id", "matid"), ("id",)),
    "curvature": (("curvature", "convexity"), ("curv", "cv"), ("kruemmung",)),
    "thickness": (("thickness",), ("thk", "thick"), ("dicke",)),
    "packed": (("orm", "arm", "occlusion_roughness_metalness"), ("orm", "rma", "pk"), ("orm",)),
    "position": (("position", "positions"), ("pos", "p"), ("position",)),
    "flow": (("flow", "flowmap", "direction"), ("flw",), ("fluss",)),
    "vector_displacement": (("vector_displacement", "vdisp"), ("vdm",), ("verschiebung",)),
    "depth": (("depth", "zdepth", "distance"), ("z", "dpt"), ("tiefe",)),
}

_STEMS = (
    "kiln_brick", "cup", "plate02", "saucer", "teapot_lid", "shelf_a", "oak_tray", "glaze07",
    "workshop_wall", "apron", "linen", "jug", "wheel", "clay_floor", "window", "copper_pot",
    "sugar_jar", "garden_path", "ivy", "lantern", "door01", "bowl", "tin_roof", "table_top",
)  # fmt: skip

_MISLEADING = (
    "rough_plaster", "metal_shed", "normal_street", "glossy_tile", "height_chart",
    "color_wheel_stand", "mask_on_wall", "bump_road", "sky_blue_cup", "plate_metal", "gold_id_card",
    "diffuse_light_room",
)  # fmt: skip

STYLES = (
    "snake", "snake", "snake", "camel", "kebab", "dotted", "upper", "short", "short", "word_first",
    "glued", "numbered", "foreign", "neutral", "neutral", "neutral", "bare", "token",
)  # fmt: skip
"""How names are made up; those that come twice or more are met more often."""


def stem(rng: Rng) -> str:
    """Return what a material or picture is called; now and then a word in it misleads."""
    return str(rng.choice(_MISLEADING if rng.random() < 0.12 else _STEMS))


def file_stem(rng: Rng, style: str, stem: str, subject: str, stored: str) -> str:
    """Return a file name without its ending.

    Parameters
    ----------
    style
        One of :data:`STYLES`; all maps of a set share it.
    subject
        What the picture shows, a key of :data:`WORDS`.
    stored
        Its true reading, for the style that writes it into the name.

    Examples
    --------
    >>> import numpy as np
    >>> file_stem(np.random.default_rng(1), "token", "cup", "thickness", "data")
    'cup_thickness_data'
    """
    whole, short, foreign = WORDS[subject]
    word = str(rng.choice(short if style == "short" else foreign if style == "foreign" else whole))
    number = int(rng.integers(1, 9999))
    match style:
        case "camel":
            parts = [*stem.split("_"), *word.split("_")]
            return "".join(p[:1].upper() + p[1:] for p in parts)
        case "kebab":
            return f"{stem}-{word}".replace("_", "-").title()
        case "dotted":
            return f"{stem}.{word}"
        case "upper":
            return f"{stem}_{word}".upper()
        case "word_first":
            return f"{word}_{stem}"
        case "glued":
            return f"{stem}{word}".replace("_", "")
        case "numbered":
            return f"{stem}_{word}_v{number % 20:03d}_{rng.choice(('1k', '2k', '4k'))}"
        case "neutral":
            pattern = str(
                rng.choice(("asset_{:04d}", "texture-{}", "img{:05d}", "file ({})", "{:08x}"))
            )
            return pattern.format(number)
        case "bare":
            return stem if subject in ("base_color", "picture") else f"{stem}_{word}"
        case "token":
            return f"{stem}_{word}_{stored}"
        case _:
            return f"{stem}_{word}"
