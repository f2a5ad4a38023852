"""Write a picture in a true colour space, with a true statement of it, none, or a false one.

The writers are independent of primecoat: Pillow, imagecodecs, tifffile, OpenEXR.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import OpenEXR
import tifffile
from numpy.typing import NDArray
from PIL import Image
from tests.images import profiles
from tests.images import written as w

from evaluation.contents.content import Content, Floats, Rng
from primecoat.colour.ids import DATA, SPACES
from primecoat.colour.ocio import convert

XY: dict[str, tuple[float, ...]] = {
    "rec709": (0.640, 0.330, 0.300, 0.600, 0.150, 0.060, 0.3127, 0.3290),
    "p3d65": (0.680, 0.320, 0.265, 0.690, 0.150, 0.060, 0.3127, 0.3290),
    "rec2020": (0.708, 0.292, 0.170, 0.797, 0.131, 0.046, 0.3127, 0.3290),
    "adobergb": (0.640, 0.330, 0.210, 0.710, 0.150, 0.060, 0.3127, 0.3290),
    "ap0": (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.0770, 0.32168, 0.33767),
    "ap1": (0.713, 0.293, 0.165, 0.830, 0.128, 0.044, 0.32168, 0.33767),
}
"""CIE xy of red, green, blue, white. Sources: ITU-R BT.709, SMPTE EG 432-1 with D65, ITU-R BT.2020,
Adobe RGB (1998), SMPTE ST 2065-1, ACES documentation (ACEScg)."""

CICP: dict[str, tuple[int, int]] = {
    "srgb_rec709_scene": (1, 13),
    "srgb_p3d65_scene": (12, 13),
    "g22_rec709_scene": (1, 4),
    "lin_rec709_scene": (1, 8),
    "lin_p3d65_scene": (12, 8),
    "lin_rec2020_scene": (9, 8),
    "g26_p3d65_display": (12, 17),
    "pq_p3d65_display": (12, 16),
    "pq_rec2020_display": (9, 16),
    "hlg_rec2020_display": (9, 18),
}
"""Codes of primaries and curve. Source: ITU-T H.273, tables 2 and 3."""

GAMA = {"linear": 100000, "g18": 55556, "g24": 41667}
"""Source: W3C *PNG Specification (Third Edition)*, 11.3.2.2: 100000 / gamma."""

ICC_CURVES = {
    "linear": profiles.LINEAR,
    "srgb": profiles.SRGB_CURVE,
    "g18": profiles.curv(461),
    "g22": profiles.para(0, 2.2),
    "g24": profiles.para(0, 2.4),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How a picture is stored.

    Parameters
    ----------
    ending
        ``png``, ``jpg``, ``tif``, ``webp``, ``tga``, ``exr`` or ``hdr``.
    pixel_type
        ``uint8``, ``uint16``, ``half`` or ``float``.
    stored
        The reading that is true of the numbers.
    statement
        How the file states a reading: ``none``, ``srgb`` (PNG chunk), ``icc``, ``cicp``, ``gama``
        (a curve without primaries), ``gama_chrm``, ``exif``, ``id``, ``chromaticities`` or
        ``primaries`` (Radiance).
    stated
        The reading that it states.
    writer
        A library's name.
    """

    ending: str
    pixel_type: str
    stored: str
    statement: str = "none"
    stated: str = ""
    writer: str = ""

    @property
    def told(self) -> bool:
        """Whether the statement, if true, tells the whole of the space."""
        return self.statement not in ("none", "gama")


def carries(ending: str, pixel_type: str, statement: str, space: str, *, grey: bool) -> bool:
    """Tell whether a statement in a file of this kind can name a space."""
    if space == DATA:
        return (ending, statement) == ("exr", "id")
    curve, primaries = SPACES[space].curve, SPACES[space].primaries
    scene, linear = SPACES[space].referred == "scene", SPACES[space].linear
    match statement:
        case "srgb":
            return ending == "png" and space == "srgb_rec709_scene"
        case "exif":
            return ending == "jpg" and space == "srgb_rec709_scene"
        case "cicp":
            return ending == "png" and space in CICP and not grey
        case "gama":
            return ending == "png" and curve in GAMA and primaries == "rec709" and scene
        case "gama_chrm":
            fits = curve in GAMA or space == "g22_adobergb_scene"
            return ending == "png" and fits and scene and primaries in XY and primaries != "ap0"
        case "icc":
            known = scene and primaries in profiles.SPACES and curve in ICC_CURVES
            fits = ending in ("png", "jpg", "webp") or (ending == "tif")
            return fits and known and (not grey or primaries == "rec709")
        case "id":
            return ending == "exr" and not (grey and primaries != "rec709")
        case "chromaticities":
            return ending == "exr" and linear and scene and primaries in XY
        case "primaries":
            return ending == "hdr" and linear and scene and primaries in XY
        case _:
            return True


def numbers(content: Content, stored: str) -> Floats:
    """Return the numbers to store: colour converted to its space, data as it is."""
    pixels = content.pixels
    if content.kind == "data" or stored == DATA:
        return pixels
    light = np.repeat(pixels[..., :1], 3, axis=2) if content.grey else pixels[..., :3]
    coded = convert(light, "lin_rec709_scene", stored)
    if content.grey:
        return np.concatenate((coded[..., 1:2], pixels[..., 1:]), axis=2)
    return np.concatenate((coded, pixels[..., 3:]), axis=2)


def write(path: Path, content: Content, recipe: Recipe, rng: Rng) -> None:
    """Write a picture."""
    pixels = numbers(content, recipe.stored)
    match recipe.ending:
        case "exr":
            _write_exr(path, pixels, recipe)
        case "hdr":
            path.write_bytes(_radiance(pixels, recipe))
        case "tif":
            _write_tiff(path, pixels, recipe)
        case "png":
            path.write_bytes(_png(_codes(pixels, recipe.pixel_type), recipe))
        case "jpg":
            path.write_bytes(_jpeg(_codes(pixels, "uint8"), recipe, rng))
        case "webp":
            _write_webp(path, _codes(pixels, "uint8"), recipe, rng)
        case _:
            codes = _codes(pixels, "uint8").squeeze()
            Image.fromarray(codes).save(path, "TGA", rle=bool(rng.random() < 0.5))


def _codes(pixels: Floats, pixel_type: str) -> NDArray[Any]:
    most = np.iinfo(pixel_type).max
    codes = np.floor(np.clip(np.nan_to_num(pixels), 0, 1) * most + 0.5)
    return np.asarray(codes.astype(pixel_type))


def _profile(recipe: Recipe, channels: int) -> bytes:
    space = SPACES[recipe.stated]
    adobe = recipe.stated == "g22_adobergb_scene"
    curve = profiles.para(0, 563 / 256) if adobe else ICC_CURVES[space.curve]
    if channels <= 2:
        return profiles.grey_profile(curve)
    return profiles.rgb_profile(space.primaries, curve, description="picture")


def _png(codes: NDArray[Any], recipe: Recipe) -> bytes:
    channels = codes.shape[2]
    chunks = []
    stated = SPACES.get(recipe.stated)
    match recipe.statement:
        case "srgb":
            chunks = [w.chunk(b"sRGB", b"\0"), w.gama(45455)]
        case "icc":
            chunks = [w.iccp(_profile(recipe, channels))]
        case "cicp":
            chunks = [w.chunk(b"cICP", bytes([*CICP[recipe.stated], 0, 1]))]
        case "gama" | "gama_chrm" if stated is not None:
            chunks = [w.gama(GAMA.get(stated.curve, 45470))]
            if recipe.statement == "gama_chrm":
                xy = [round(n * 100000) for n in XY[stated.primaries]]
                chunks.append(w.chrm((*xy[6:], *xy[:6])))
    if recipe.writer == "Pillow":
        out = io.BytesIO()
        picture = Image.fromarray(codes.squeeze())
        picture.save(out, "PNG", compress_level=1)
        data = out.getvalue()
    elif recipe.writer == "palette":
        out = io.BytesIO()
        Image.fromarray(codes).quantize(128, Image.Quantize.FASTOCTREE).save(out, "PNG")
        data = out.getvalue()
    else:
        data = bytes(imagecodecs.png_encode(codes.squeeze(), level=1))
    return data[:33] + b"".join(chunks) + data[33:]  # signature and IHDR are 33 bytes


def _jpeg(codes: NDArray[Any], recipe: Recipe, rng: Rng) -> bytes:
    quality = int(rng.integers(60, 96))
    sampling = int(rng.integers(3))
    if recipe.writer == "Pillow":
        out = io.BytesIO()
        Image.fromarray(codes.squeeze()).save(out, "JPEG", quality=quality, subsampling=sampling)
        data = out.getvalue()
    else:
        halved = ("444", "422", "420")[sampling] if codes.shape[2] == 3 else None
        data = bytes(imagecodecs.jpeg8_encode(codes.squeeze(), level=quality, subsampling=halved))
    segments = []
    if recipe.statement == "icc":
        segments = w.icc_segments(_profile(recipe, codes.shape[2]))
    elif recipe.statement == "exif":
        segments = [w.segment(0xE1, b"Exif\0\0" + w.exif(1))]
    return data[:2] + b"".join(segments) + data[2:]


def _write_webp(path: Path, codes: NDArray[Any], recipe: Recipe, rng: Rng) -> None:
    codes = np.repeat(codes, 3, axis=2) if codes.shape[2] == 1 else codes
    options = {"icc_profile": _profile(recipe, 3)} if recipe.statement == "icc" else {}
    quality, lossless = int(rng.integers(60, 96)), bool(rng.random() < 0.3)
    Image.fromarray(codes).save(
        path, "WEBP", quality=quality, lossless=lossless, method=0, exact=True, **options
    )


def _write_tiff(path: Path, pixels: Floats, recipe: Recipe) -> None:
    kinds: dict[str, Any] = {"float": np.float32, "half": np.float16}
    if recipe.pixel_type in kinds:
        values = pixels.astype(kinds[recipe.pixel_type])
    else:
        values = _codes(pixels, recipe.pixel_type)
    channels = values.shape[2]
    profile = _profile(recipe, channels) if recipe.statement == "icc" else None
    if recipe.writer == "Pillow" and recipe.pixel_type == "uint8" and channels != 2:
        options = {"icc_profile": profile} if profile else {}
        Image.fromarray(values.squeeze()).save(path, "TIFF", **options)
        return
    beside = "unspecified" if recipe.stored == DATA else "unassalpha"
    extra = {2: [beside], 4: ["unassalpha"]}.get(channels)
    tifffile.imwrite(
        path,
        values if channels > 1 else values[..., 0],
        photometric="rgb" if channels >= 3 else "minisblack",
        planarconfig="contig" if channels > 1 else None,
        extrasamples=extra,
        iccprofile=profile,
        compression="zlib",
    )


def _write_exr(path: Path, pixels: Floats, recipe: Recipe) -> None:
    values = pixels.astype(np.float16 if recipe.pixel_type == "half" else np.float32)
    channels = values.shape[2]
    if channels == 1:
        planes = {"Y": np.ascontiguousarray(values[..., 0])}
    elif channels == 2:
        names = "RG" if recipe.stored == DATA else "YA"
        planes = {n: np.ascontiguousarray(values[..., i]) for i, n in enumerate(names)}
    else:
        planes = {"RGBA"[:channels]: values}
    header: dict[str, Any] = {"compression": OpenEXR.ZIP_COMPRESSION}
    if recipe.statement == "id":
        header["colorInteropID"] = recipe.stated
    elif recipe.statement == "chromaticities":
        header["chromaticities"] = XY[SPACES[recipe.stated].primaries]
    OpenEXR.File(header, planes).write(str(path))


def _radiance(pixels: Floats, recipe: Recipe) -> bytes:
    light = np.maximum(pixels[..., :3], 0).astype(np.float32)
    data = bytes(imagecodecs.rgbe_encode(np.ascontiguousarray(light), header=True))
    if recipe.statement != "primaries":
        return data
    line = "PRIMARIES=" + " ".join(f"{n:.4f}" for n in XY[SPACES[recipe.stated].primaries])
    first, _, rest = data.partition(b"\n")
    return first + b"\n" + line.encode() + b"\n" + rest
