"""Pictures of each format that say all they can about colour, most of it untrue after a bake."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import OpenEXR
from PIL import Image, TiffImagePlugin
from tests.images import profiles
from tests.images import written as w

SIZE = (16, 20)

ADOBE = profiles.rgb_profile("adobergb", profiles.curv(round(563 / 256 * 256)))
XMP = (
    b'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta xmlns:x="adobe:ns:meta/">'
    b'<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description '
    b'xmlns:exif="http://ns.adobe.com/exif/1.0/" xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/"'
    b' xmlns:tiff="http://ns.adobe.com/tiff/1.0/" exif:ColorSpace="1" tiff:Software="old maker" '
    b'photoshop:ICCProfile="Adobe RGB (1998)" photoshop:ColorMode="3"/></rdf:RDF></x:xmpmeta>'
    b'<?xpacket end="w"?>'
)
"""An XMP packet (ISO 16684-1) that states a colour space twice."""


def pixels() -> np.ndarray:
    """Return random 8-bit RGB."""
    return np.random.default_rng(9).integers(0, 256, (*SIZE, 3), dtype=np.uint8)


def png(path: Path) -> Path:
    """Write a PNG with cICP, iCCP, sRGB, gAMA, cHRM, EXIF, XMP and texts."""
    rows = pixels()
    raw = b"".join(b"\0" + row.tobytes() for row in rows)
    path.write_bytes(
        b"".join(
            (
                b"\x89PNG\r\n\x1a\n",
                w.chunk(b"IHDR", struct.pack(">IIBBBBB", SIZE[1], SIZE[0], 8, 2, 0, 0, 0)),
                w.chunk(b"cICP", bytes([12, 13, 0, 1])),
                w.iccp(ADOBE),
                w.chunk(b"sRGB", b"\0"),
                w.gama(45455),
                w.chrm(w.ADOBE_CHRM),
                w.chunk(b"mDCV", bytes(24)),
                w.chunk(b"cLLI", bytes(8)),
                w.chunk(b"eXIf", w.exif(1, b"R98")),
                w.chunk(b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + XMP),
                w.chunk(b"tEXt", b"Author\0the potter"),
                w.chunk(b"tEXt", b"oiio:ColorSpace\0srgb_rec709_scene"),
                w.chunk(b"IDAT", zlib.compress(raw)),
                w.chunk(b"IEND", b""),
            )
        )
    )
    return path


def jpeg(path: Path) -> Path:
    """Write a JPEG with a profile and EXIF ColorSpace."""
    segments = [w.segment(0xE1, b"Exif\0\0" + w.exif(1, b"R98")), *w.icc_segments(ADOBE)]
    segments.append(w.segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + XMP))
    path.write_bytes(w.jpeg(pixels(), *segments))
    return path


def tiff(path: Path) -> Path:
    """Write a TIFF with a profile, white point, primaries, a transfer function, EXIF and XMP."""
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[318] = (0.3127, 0.3290)
    tags[319] = (0.64, 0.33, 0.21, 0.71, 0.15, 0.06)
    tags[301] = tuple(range(0, 65536, 256)) * 3
    tags[305] = "old maker : make glaze.png -o glaze.tx"
    tags[315] = "the potter"
    tags[270] = "a bowl oiio:SHA-1=" + "AB" * 20
    tags[700] = XMP
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA001] = 1
    image = Image.fromarray(pixels())
    image.save(path, tiffinfo=tags, icc_profile=ADOBE, exif=exif)
    return path


def exr(path: Path) -> Path:
    """Write an OpenEXR with ID, flag, chromaticities, adopted neutral and white luminance."""
    planes = {n: pixels()[..., i].astype(np.float16) / 255 for i, n in enumerate("RGB")}
    header = {
        "type": OpenEXR.scanlineimage,
        "compression": OpenEXR.ZIP_COMPRESSION,
        "colorInteropID": "lin_ap0_scene",
        "acesImageContainerFlag": 1,
        "chromaticities": (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.077, 0.32168, 0.33767),
        "adoptedNeutral": np.array([0.32168, 0.33767], np.float32),
        "whiteLuminance": 100.0,
        "renderingTransform": "an old transform",
        "oiio:ColorSpace": "lin_ap0_scene",
        "oiio:SHA-1": "AB" * 20,
        "Software": "old maker : make glaze.png -o glaze.tx",
        "owner": "the potter",
    }
    OpenEXR.File(header, planes).write(str(path))
    return path


MAKERS = {"png": png, "jpg": jpeg, "tif": tiff, "exr": exr}
