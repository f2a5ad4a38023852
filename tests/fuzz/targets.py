"""Everything that reads bytes from anywhere: each must give a value or an error of ours."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.images import profiles
from tests.images import test_robust_headers as headers
from tests.scenes import builders as b

from primecoat.apply.journal import read_runs
from primecoat.config.look_file import load_look_file
from primecoat.errors import PrimecoatError
from primecoat.images.icc import classify_profile
from primecoat.plan.plan import load_plan
from primecoat.reading.decisions import read_decisions
from primecoat.renders.corrections import entries
from primecoat.scenes.formats import gltf, materialx, sheet
from primecoat.scenes.json_span import member_spans
from primecoat.scenes.xml_span import edit_attributes, parse


@dataclass(frozen=True)
class Target:
    """A reader, and sound bytes to begin with."""

    read: Callable[[bytes], object]
    seeds: tuple[bytes, ...]
    words: tuple[bytes, ...] = ()

    def __call__(self, data: bytes) -> None:
        """Read; what is refused with an error of ours is well."""
        said = "one line"
        try:
            self.read(data)
        except PrimecoatError as error:
            said = str(error)
        assert said
        assert "\n" not in said


@cache
def _folder() -> Path:
    memory = Path("/dev/shm")
    folder = tempfile.mkdtemp(prefix="fuzz-", dir=memory if memory.is_dir() else None)
    (Path(folder) / ".primecoat").mkdir()
    return Path(folder)


def _in_a_file(name: str, read: Callable[[Path], object]) -> Callable[[bytes], object]:
    def act(data: bytes) -> object:
        path = _folder() / name
        with path.open("wb") as stream:
            stream.write(data)
        return read(path)

    return act


def _sheet(data: bytes) -> object:
    path = _folder() / "tea.csv"
    path.write_bytes(data)
    sheet.claims(path)
    scene = sheet.read(path, "tea.csv")
    return scene, sheet.edit(data, ())


def _xml(data: bytes) -> object:
    text = parse(data, "tea.mtlx")
    return edit_attributes(text, [(path, "fuzz", "1 < 2") for path in list(text.by_path)[:3]])


def _json_places(data: bytes) -> object:
    try:
        text = data.decode()
        document = json.loads(text)
    except (ValueError, RecursionError):
        return None
    keys = list(document)[:3] if isinstance(document, dict) else []
    keys = [k.replace("~", "~0").replace("/", "~1") for k in keys]
    found = member_spans(text, [f"/{key}" for key in keys])
    for key, (_, start, end) in zip(keys, found, strict=True):
        name = key.replace("~1", "/").replace("~0", "~")
        assert repr(json.loads(text[start:end])) == repr(document[name])
    return found


def _look(suffix: str) -> Callable[[bytes], object]:
    cdl = suffix in (".cc", ".ccc", ".cdl")
    return _in_a_file(
        f"look{suffix}",
        lambda path: load_look_file(
            path,
            works_in="lin_rec709_scene",
            gives="lin_rec709_scene",
            clamp=True if cdl else None,
        ),
    )


_DECISIONS = json.dumps(
    {
        "document": "primecoat.decisions/1",
        "decisions": [
            {"image": "a.png", "reading": "data", "because": "", "by": "me", "when": "2026-01-01"}
        ],
    }
).encode()
_LINK = {"do": "link_image", "source": "a.png", "target": "b.png", "sha256": "0", "reading": "data"}
_JOURNAL = b"\n".join(
    json.dumps({"run": "1", **line}).encode()
    for line in (
        {"state": "begin", "plan": "0", "root": ".", "target": "tea.csv"},
        {"state": "intent", "n": 0, "after": "0", "operation": _LINK},
        {"state": "done", "n": 0, "device": 1, "inode": 2, "method": "reflink"},
        {"state": "end"},
        {"state": "undo"},
        {"state": "undone", "n": 0},
        {"state": "undo-end"},
    )
) + b"\n"  # fmt: skip
_PLAN = json.dumps(
    {
        "document": "primecoat.plan/1",
        "target": "/tea/tea.csv",
        "root": "/tea",
        "reach": [],
        "route": "tag",
        "in_place": False,
        "from": "lin_rec709_scene",
        "to": "lin_ap1_scene",
        "operations": [
            _LINK,
            {
                "do": "write_scene",
                "source": "tea.csv",
                "target": "tea.primed.csv",
                "source_sha256": "0",
                "target_sha256": "1",
                "replaces_sha256": "",
                "edits": [{"place": "row 2/path", "before": "a.png", "after": "b.png"}],
            },
        ],
        "held": [{"where": "a", "why": "b", "remedy": "c"}],
        "findings": [],
    }
).encode()
_SHEET = (
    b"path,owner,slot,channels,space,value\ncup.png,glaze,base_color,rgb,,\n"
    b',lamp,light_color,,,3200K\n"a, b.png",x,roughness,r,data,\n'
)
_GLTF = json.dumps(
    b.gltf(
        [{"uri": "a.png"}, {"bufferView": 0}],
        [b.BASE_COLOUR, {"emissiveFactor": [1, 0.5, 0.25], "normalTexture": {"index": 1}}],
        bufferViews=[{"buffer": 0, "byteLength": 3}],
        buffers=[{"uri": "data:;base64,AAAA", "byteLength": 3}],
        extensions={"KHR_lights_punctual": {"lights": [{"color": [1, 0.5, 0.2]}]}},
    )
).encode()
_MATERIALX = (
    b'<?xml version="1.0"?><materialx version="1.39" colorspace="lin_rec709"><image name="i" '
    b'type="color3"><input name="file" type="filename" value="a.png" colorspace="srgb_texture"/>'
    b'</image><standard_surface name="s" type="surfaceshader"><input name="base_color" '
    b'type="color3" nodename="i"/></standard_surface></materialx>'
)
_CDL = (
    b'<ColorCorrection id="a"><SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset>'
    b"<Power>1 1 1</Power></SOPNode><SatNode><Saturation>1</Saturation></SatNode></ColorCorrection>"
)
_CLF = (
    b'<?xml version="1.0"?><ProcessList xmlns="urn:AMPAS:CLF:v3.0" id="x" compCLFversion="3">'
    b'<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">1 0 0 0 1 0 0 0 1</Array>'
    b"</Matrix></ProcessList>"
)
_CUBE = b"LUT_3D_SIZE 2\n" + b"".join(b"%d %d %d\n" % (n & 1, n >> 1 & 1, n >> 2) for n in range(8))
_TOML = (
    b'space = "lin_rec709_scene"\n[[correction]]\nexposure = 1\n'
    b'[[correction]]\npoints = [[0,0],[1,1]]\nbeyond = "hold"\n'
)
_ROWS = b"correction,value,space,beyond\ngain,1.2 1 0.8,ACEScg,\npoints,0 0;1 1,,hold\n"

_JSON_WORDS = (b"null", b"[]", b"{}", b"-1", b"1e999", b"NaN", b'"\\ud800"', b'"../x"', b"true")
_NUMBERS = (b"nan", b"inf", b"1e400", b"-0", b"999999999999")

TARGETS: dict[str, Target] = {
    **{
        name.replace(", ", "-").replace(" ", "-"): Target(read, (sound,))
        for name, (read, sound) in headers.PARSERS.items()
        if not name.startswith("icc ")
    },
    "icc-curves": Target(
        classify_profile,
        (
            profiles.rgb_profile("p3d65", profiles.SRGB_CURVE),
            *(sound for name, (_, sound) in headers.PARSERS.items() if name.startswith("icc ")),
        ),
    ),
    "sheet": Target(_sheet, (_SHEET,), (b'"', b"\r\n", b";", b"3200K", *_NUMBERS)),
    "gltf": Target(
        _in_a_file("tea.gltf", lambda p: gltf.read(p, "tea.gltf")), (_GLTF,), _JSON_WORDS
    ),
    "glb": Target(
        _in_a_file("tea.glb", lambda p: gltf.read(p, "tea.glb")), (b.glb_with_images(b.png()),)
    ),
    "json-places": Target(_json_places, (_GLTF, _PLAN), _JSON_WORDS),
    "xml-places": Target(_xml, (_MATERIALX,), (b"<!DOCTYPE", b"&amp;", b"<xi:include href=")),
    "materialx": Target(
        _in_a_file("tea.mtlx", lambda p: materialx.read(p, "tea.mtlx")), (_MATERIALX,)
    ),
    "decisions": Target(
        _in_a_file(".primecoat/decisions.json", lambda p: read_decisions(p.parent.parent)),
        (_DECISIONS,),
        _JSON_WORDS,
    ),
    "journal": Target(
        _in_a_file(".primecoat/journal.jsonl", lambda p: read_runs(p.parent.parent)),
        (_JOURNAL,),
        _JSON_WORDS,
    ),
    "plan": Target(_in_a_file("plan.json", load_plan), (_PLAN,), _JSON_WORDS),
    "corrections-toml": Target(
        _in_a_file("old.toml", lambda p: entries.read_toml(_text(p), p)), (_TOML,), _NUMBERS
    ),
    "corrections-csv": Target(
        _in_a_file("old.csv", lambda p: entries.read_csv(_text(p), p)), (_ROWS,), _NUMBERS
    ),
    "look-cc": Target(_look(".cc"), (_CDL,), _NUMBERS),
    "look-clf": Target(_look(".clf"), (_CLF,), _NUMBERS),
    "look-cube": Target(_look(".cube"), (_CUBE,), _NUMBERS),
}
"""Every reader by name."""


def _text(path: Path) -> str:
    from primecoat.documents import read_text

    return read_text(path)


def found_inputs() -> list[Path]:
    """Return the inputs that once brought a reader down, named TARGET-anything."""
    folder = Path(__file__).parent / "found"
    return sorted(p for p in folder.iterdir() if not p.name.startswith("."))


def target_of(path: Path) -> Target:
    """Return the reader that an input is for."""
    return TARGETS[max((n for n in TARGETS if path.name.startswith(f"{n}-")), key=len)]


def silence() -> None:
    """Keep libraries from writing on stderr."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
