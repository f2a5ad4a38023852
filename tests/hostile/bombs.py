"""Files that claim, or unpack to, more than memory; and texts without bottom or end."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

from tests.hostile.case import Case, Make, file
from tests.images import written as w
from tests.scenes import builders as b
from tests.scenes.materialx_documents import document
from tests.scenes.usd_stages import layer

LAUGHS = "".join(f'<!ENTITY l{n + 1} "{f"&l{n};" * 10}">' for n in range(12))
ENTITIES = f'<!DOCTYPE x [<!ENTITY l0 "ha">{LAUGHS}]>'
OUTWARD = '<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]>'
MATERIALX = '<materialx version="1.39" colorspace="%s"/>'


def picture(data: bytes, name: str = "a.png") -> Make:
    """Return the writer of a glTF with this picture."""

    def make(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return b.write_gltf(folder / "s.gltf", b.gltf([{"uri": name}]))

    return make


def png(width: int, height: int, *chunks: bytes, rows: bytes = b"") -> bytes:
    """Return a PNG that claims a size; its pixels are the rows, packed."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = (b"IHDR", head), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b"")
    ihdr, idat, iend = (b.chunk(kind, body) for kind, body in parts)
    return b"\x89PNG\r\n\x1a\n" + ihdr + b"".join(chunks) + idat + iend


def sparse(name: str) -> Make:
    """Return the writer of a file that is huge and takes no room on the disk."""

    def make(folder: Path) -> Path:
        with (folder / name).open("wb") as stream:
            stream.truncate(2**40)
        return folder / name

    return make


def radiance(width: int, height: int) -> bytes:
    """Return a Radiance picture that claims a size and has no pixels."""
    return f"#?RADIANCE\nFORMAT=32-bit_rle_rgbe\n\n-Y {height} +X {width}\n".encode()


def tiff(width: int, height: int) -> bytes:
    """Return a TIFF of one strip that claims a size. Source: TIFF 6.0, section 2."""
    tags = [(256, 4, width), (257, 4, height), (258, 3, 8), (259, 3, 1), (262, 3, 1)]
    tags += [(273, 4, 8), (277, 3, 1), (278, 4, height), (279, 4, 4)]
    entries = b"".join(struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in tags)
    return b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", len(tags)) + entries + bytes(4)


def chained(folder: Path) -> Path:
    """Write MaterialX files that each include the next twice."""
    for n in range(20):
        twice = f'<xi:include href="l{n + 1}.mtlx"/>' * 2
        (folder / f"l{n}.mtlx").write_text(document(twice), encoding="utf-8")
    (folder / "l20.mtlx").write_text(document(""), encoding="utf-8")
    return folder / "l0.mtlx"


def in_a_circle(folder: Path) -> Path:
    """Write MaterialX files that include one another."""
    (folder / "other.mtlx").write_text(document('<xi:include href="s.mtlx"/>'), encoding="utf-8")
    (folder / "s.mtlx").write_text(document('<xi:include href="other.mtlx"/>'), encoding="utf-8")
    return folder / "s.mtlx"


def usd_circle(folder: Path) -> Path:
    """Write a USD prim that refers to itself."""
    return layer(folder, 'def "A" (\n    references = </A/B>\n)\n{\n    def "B" {}\n}\n', "s.usda")


BOMBS = {
    "PNG of ten thousand million pixels": Case(
        make=picture(png(100_000, 100_000)), words=("a.png", "Cannot")
    ),
    "PNG of one endless row": Case(make=picture(png(999_999_999, 1)), words=("a.png", "Cannot")),
    "PNG of the largest size there is": Case(
        make=picture(png(0x7FFFFFFF, 0x7FFFFFFF)), words=("a.png",)
    ),
    "PNG of no size": Case(make=picture(png(0, 0)), words=("a.png",)),
    "Radiance of ten thousand million pixels": Case(
        make=picture(radiance(100_000, 100_000), "a.hdr"), words=("a.hdr", "100000x100000")
    ),
    "TIFF of one strip of ten thousand million": Case(
        make=picture(tiff(100_000, 100_000), "a.tif"), words=("a.tif",)
    ),
    "profile that unpacks without end": Case(
        make=picture(png(1, 1, w.iccp(bytes(64 * 2**20)), rows=bytes(4))),
        words=("a.png",),
        code=0,
        command=("survey", None),
    ),
    "text that unpacks without end": Case(
        make=picture(
            png(1, 1, b.chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(2**26))), rows=bytes(4))
        ),
        words=("a.png",),
        code=0,
        command=("survey", None),
    ),
    "glTF of a million million bytes": Case(
        make=sparse("s.gltf"), words=("PRIMECOAT_MOST_SCENE_BYTES=",), code=2
    ),
    "GLB of a million million bytes": Case(
        make=sparse("s.glb"), words=("PRIMECOAT_MOST_SCENE_BYTES=",), code=2
    ),
    "sheet of a million million bytes": Case(
        make=sparse("s.csv"), words=("PRIMECOAT_MOST_SCENE_BYTES=",), code=2
    ),
    "MaterialX of a million million bytes": Case(
        make=sparse("s.mtlx"), words=("PRIMECOAT_MOST_SCENE_BYTES=",), code=2
    ),
    "USD of a million million bytes": Case(
        make=sparse("s.usda"), words=("PRIMECOAT_MOST_SCENE_BYTES=",), code=2
    ),
    "plan of a million million bytes": Case(
        make=sparse("plan.json"),
        words=("PRIMECOAT_MOST_SCENE_BYTES=",),
        code=2,
        command=("apply", None),
    ),
    "JSON without bottom": Case(
        make=file("s.gltf", b'{"asset": ' + b"[" * 300_000), words=("not valid JSON",), code=2
    ),
    "JSON of an endless number": Case(
        make=file("s.gltf", b'{"asset": {"n": ' + b"9" * 100_000 + b"}}"),
        words=("not valid JSON",),
        code=2,
    ),
    "plan without bottom": Case(
        make=file("plan.json", b'{"operations": ' + b"[" * 300_000),
        words=("not valid JSON",),
        code=2,
        command=("apply", None),
    ),
    "XML without bottom": Case(
        make=file("s.mtlx", "<materialx>" + "<a>" * 300_000),
        words=("elements stand inside one another",),
        code=2,
    ),
    "XML entities": Case(
        make=file("s.mtlx", ENTITIES + MATERIALX % "&l12;"), words=("document type",), code=2
    ),
    "XML entity of another file": Case(
        make=file("s.mtlx", OUTWARD + MATERIALX % "&e;"), words=("document type",), code=2
    ),
    "includes that multiply": Case(make=chained, words=("more than 1000 includes",)),
    "includes in a circle": Case(make=in_a_circle, words=("includes itself",)),
    "USD in a circle": Case(make=usd_circle, words=('"findings": []',), code=0),
    "GLB with a length that lies": Case(
        make=file("s.glb", b"glTF" + struct.pack("<IIII", 2, 28, 0xFFFFFFFF, 0x4E4F534A) + b"{}"),
        words=("damaged",),
        code=2,
    ),
}
"""By name."""
