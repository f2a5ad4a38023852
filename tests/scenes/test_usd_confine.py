"""Nothing outside the roots is opened, whichever way leads there."""

from __future__ import annotations

import ctypes
import os
import struct
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.scenes.usd_stages import at, layer

from primecoat.errors import InputError
from primecoat.scenes.formats import usd

pytest.importorskip("pxr")

SECRET = 'def Xform "A"\n{\n    color3f secret = (1, 0, 0)\n}\n'
CLIP = (
    '#usda 1.0\ndef Xform "A"\n{\n    color3f c.timeSamples = {\n        0: (1, 0, 0),\n    }\n}\n'
)
REFERENCE = 'def Xform "W" (\n    %s = @%s@</A>\n)\n{\n}\n'
CLIPS = (
    "    clips = {{\n        dictionary default = {{\n"
    "            asset[] assetPaths = [@../../out/clip.usda@]\n"
    '            string primPath = "/A"\n'
    "            double2[] active = [(0, 0)]\n            double2[] times = [(0, 0)]\n"
    "            asset manifestAssetPath = @../../out/clip.usda@\n        }}\n    }}\n"
)
WAYS = {
    "sublayer": ("", "    subLayers = [@../../out/secret.usda@]"),
    "reference": (REFERENCE % ("references", "../../out/secret.usda"), ""),
    "payload": (REFERENCE % ("payload", "../../out/secret.usda"), ""),
    "absolute": (REFERENCE % ("references", "{out}/secret.usda"), ""),
    "link": (REFERENCE % ("references", "./linked.usda"), ""),
    "expression": (
        REFERENCE % ("references", '`"../../${{WHERE}}/secret.usda"`'),
        '    expressionVariables = {{\n        string WHERE = "out"\n    }}',
    ),
    "unselected variant": (
        'def Xform "W" (\n    variants = {{\n        string v = "a"\n    }}\n'
        '    prepend variantSets = "v"\n)\n{{\n    variantSet "v" = {{\n'
        '        "a" {{\n        }}\n'
        '        "b" (\n            references = @../../out/secret.usda@</A>\n        ) {{\n'
        "        }}\n    }}\n}}\n",
        "",
    ),
    "reference of a reference": (REFERENCE % ("references", "./middle.usda"), ""),
    "value clip": (
        f'def Xform "W" (\n{CLIPS})\n' + "{{\n    color3f c\n}}\n",
        "",
    ),
    "value clip in a variant": (
        'def Xform "W" (\n    variants = {{\n        string v = "a"\n    }}\n'
        '    prepend variantSets = "v"\n)\n{{\n    variantSet "v" = {{\n'
        '        "a" {{\n        }}\n        "b" (\n'
        + CLIPS
        + "        ) {{\n            color3f c\n        }}\n    }}\n}}\n",
        "",
    ),
}


@contextmanager
def opened(folder: Path) -> Iterator[list[str]]:
    """Watch which files of a folder are opened, by the kernel's own account."""
    library = ctypes.CDLL(None, use_errno=True)
    watch = library.inotify_init1(os.O_NONBLOCK)
    assert library.inotify_add_watch(watch, os.fsencode(folder), 0x00000020) >= 0  # IN_OPEN
    names: list[str] = []
    try:
        yield names
    finally:
        try:
            data = os.read(watch, 65536)
        except BlockingIOError:
            data = b""
        place = 0
        while place < len(data):
            length = struct.unpack_from("iIII", data, place)[3]
            name = data[place + 16 : place + 16 + length].rstrip(b"\0").decode()
            names += [name] if name else []
            place += 16 + length
        os.close(watch)


def world(folder: Path, way: str) -> tuple[Path, Path]:
    text, metadata = WAYS[way]
    out, home = folder / "out", folder / "project" / "shot"
    layer(out, SECRET, "secret.usda")
    (out / "clip.usda").write_text(CLIP)
    home.mkdir(parents=True)
    if way == "link":
        (home / "linked.usda").symlink_to(out / "secret.usda")
    if way == "reference of a reference":
        layer(
            home,
            'def "A" (\n    references = @../../out/secret.usda@</A>\n)\n{\n}\n',
            "middle.usda",
        )
    text = text.replace("{out}", str(out)).replace("{{", "{").replace("}}", "}")
    metadata = metadata.replace("{{", "{").replace("}}", "}")
    return layer(home, text, metadata=metadata), out


@pytest.mark.skipif(sys.platform != "linux", reason="asks the Linux kernel")
@pytest.mark.parametrize("way", WAYS)
def test_outside_is_never_opened(tmp_path: Path, way: str):
    root, out = world(tmp_path, way)
    with opened(out) as names:
        scene = usd.read(root, "root.usda")
    assert names == []
    assert {p.name for p in scene.problems} == {"file_is_outside_the_root"}
    (problem,) = scene.problems
    assert str(out) in problem.message or way == "link"
    assert "--root" in problem.remedy
    assert not scene.colours


@pytest.mark.skipif(sys.platform != "linux", reason="asks the Linux kernel")
@pytest.mark.parametrize("way", WAYS)
def test_with_the_root_it_is_opened(tmp_path: Path, way: str):
    root, out = world(tmp_path, way)
    with opened(out) as names:
        scene = usd.read(root, "root.usda", (tmp_path,))
    assert names, "the watch sees what is opened"
    assert not scene.problems
    assert len(scene.colours) == 1


def test_expression_variables_of_the_root_hold_below(tmp_path: Path):
    layer(tmp_path, SECRET, "blue.usda")
    text = REFERENCE % ("references", '`"./${GLAZE}.usda"`')
    metadata = '    expressionVariables = {\n        string GLAZE = "blue"\n    }'
    scene = usd.read(layer(tmp_path, text, metadata=metadata), "root.usda")
    assert at(scene, "/W.secret").count == 1


def test_missing_layer_is_reported_and_the_rest_is_read(tmp_path: Path):
    text = REFERENCE % ("references", "./gone.usda") + SECRET
    scene = usd.read(layer(tmp_path, text), "root.usda")
    (problem,) = scene.problems
    assert problem.name == "reference_in_scene_is_broken"
    assert "gone.usda" in problem.message
    assert at(scene, "/A.secret").count == 1


def test_broken_layer_below_is_reported(tmp_path: Path):
    (tmp_path / "bad.usda").write_text('#usda 1.0\ndef "A" {')
    scene = usd.read(layer(tmp_path, REFERENCE % ("references", "./bad.usda")), "root.usda")
    (problem,) = scene.problems
    assert "bad.usda" in problem.message


def test_layer_of_an_unknown_kind_is_reported(tmp_path: Path):
    (tmp_path / "cup.abc").write_bytes(b"Ogawa")
    scene = usd.read(layer(tmp_path, REFERENCE % ("references", "./cup.abc")), "root.usda")
    (problem,) = scene.problems
    assert ".abc" in problem.message


@pytest.mark.parametrize("content", [b"", b"#usda 1.0\ndef {", b"\0\1\2", b"PXR-USDC" + bytes(80)])
def test_a_file_that_is_no_stage(tmp_path: Path, content: bytes):
    path = tmp_path / "bad.usda"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"bad\.usda"):
        usd.read(path, "bad.usda")


def test_no_file(tmp_path: Path):
    with pytest.raises(InputError, match="no such file"):
        usd.read(tmp_path / "gone.usda", "gone.usda")


def test_layers_are_named_from_the_scene(tmp_path: Path):
    layer(tmp_path / "lib", SECRET, "cup.usda")
    text = REFERENCE % ("references", "../lib/cup.usda")
    scene = usd.read(layer(tmp_path / "shot", text), "root.usda")
    assert scene.layers == ("root.usda", "../lib/cup.usda")


def test_a_layer_that_changed_on_disk_is_read_again(tmp_path: Path):
    path = layer(tmp_path, SECRET)
    first = usd.read(path, "root.usda")
    layer(tmp_path, SECRET.replace("1, 0, 0", "0, 1, 0"))
    os.utime(path, ns=(1, 1))
    second = usd.read(path, "root.usda")
    assert (first.colours[0].value[0], second.colours[0].value[0]) == (1.0, 0.0)
