"""A public glTF validator on the demo and on what priming made of it: no new complaint."""

from __future__ import annotations

import base64
import json
import shutil
import struct
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.open_data.gltf_validator import Complaint, complaints, fetched_validator

from primecoat import workflow

pytestmark = pytest.mark.open_data

Scene = dict[str, Any]
Check = Callable[[Path], Counter[Complaint]]

EXTRACTED = {
    # The view that held the picture stays: no byte of the buffer moves, no index changes.
    ("info", "UNUSED_OBJECT", "This object may be unused."),
    # A GLB may name files; the validator tells because most GLBs hold everything themselves.
    ("info", "URI_GLB", "URI is used in GLB container."),
}
"""What the validator notes of a GLB whose pictures were taken out; neither is an error."""


@pytest.fixture(scope="module")
def check() -> Check:
    """Return the function that asks the validator."""
    validator = fetched_validator()
    return lambda scene: complaints(validator, scene)


@pytest.fixture(params=["clean", "faulted"])
def demo(request: pytest.FixtureRequest, check: Check, tmp_path: Path) -> Path:
    """Return a scene of one of the twins (if there is a validator), to be changed at will."""
    shutil.copytree(request.getfixturevalue(f"written_{request.param}"), tmp_path / "tea")
    return tmp_path / "tea" / "tea.gltf"


def prime(scene: Path, *, in_place: bool = False) -> Path:
    """Plan the tag route for a scene and carry it out; return the changed scene."""
    target = scene.parent if in_place else scene  # the other scenes use the pictures too
    survey = workflow.survey(target, verify=True)
    workflow.apply(workflow.plan(survey, "tag", in_place=in_place))
    return scene if in_place else scene.with_name(f"{scene.stem}.primed{scene.suffix}")


def troubles(found: Counter[Complaint]) -> Counter[Complaint]:
    """Return the errors and warnings among complaints."""
    return Counter({c: n for c, n in found.items() if c.severity in ("error", "warning")})


def embedded(demo: Path, target: Path) -> Path:
    """Write the demo again with all its pictures inside: GLB buffer views, or data URIs."""
    document: Scene = json.loads(demo.read_bytes())
    body = (demo.parent / document["buffers"][0]["uri"]).read_bytes()
    for image in document["images"]:
        kind = "image/jpeg" if image["uri"].endswith(".jpg") else "image/png"
        content = (demo.parent / image["uri"]).read_bytes()
        if target.suffix == ".gltf":
            image["uri"] = f"data:{kind};base64,{base64.b64encode(content).decode()}"
            continue
        del image["uri"]
        body += bytes(-len(body) % 4)
        view = {"buffer": 0, "byteOffset": len(body), "byteLength": len(content)}
        image |= {"bufferView": len(document["bufferViews"]), "mimeType": kind}
        document["bufferViews"].append(view)
        body += content
    if target.suffix == ".gltf":
        target.with_suffix(".bin").write_bytes(body)
        document["buffers"][0]["uri"] = target.with_suffix(".bin").name
        target.write_text(json.dumps(document), encoding="utf-8")
        return target
    document["buffers"] = [{"byteLength": len(body)}]
    target.write_bytes(_glb(json.dumps(document).encode(), body))
    return target


def _glb(text: bytes, body: bytes) -> bytes:
    """Return the bytes of a GLB. Source: glTF 2.0, section 4.4."""
    text += b" " * (-len(text) % 4)
    body += bytes(-len(body) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
    chunks += struct.pack("<II", len(body), 0x004E4942) + body
    return b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks


def test_the_demo_is_valid_but_for_its_planted_faults(demo: Path, check: Check) -> None:
    """The clean twin has no error and no warning; the other only what was planted.

    Planted: a missing file and one in another case (not found where case matters), and a picture
    whose embedded profile says other than what glTF prescribes.
    """
    truth: Scene = json.loads((demo.parent / "truth.json").read_text("utf-8"))
    found = check(demo)
    codes = Counter((c.severity, c.code) for c in troubles(found).elements())
    if truth["clean"]:
        assert not codes
    else:
        expected = {("error", "IO_ERROR"): 2, ("warning", "IMAGE_FEATURES_UNSUPPORTED"): 1}
        assert codes == expected
    # Of the rest: an extension the validator does not know, and tangents nobody needs.
    rest = {c.code for c in found if c.severity not in ("error", "warning")}
    assert rest == {"UNSUPPORTED_EXTENSION", "UNUSED_MESH_TANGENT"}


@pytest.mark.parametrize("in_place", [False, True], ids=["beside", "in place"])
def test_the_primed_demo_has_no_new_complaint(demo: Path, in_place: bool, check: Check) -> None:
    """Whatever the validator says of the primed scene, it said of the original.

    One complaint goes: the reference in another case is now spelled as the file is.
    """
    before = check(demo)
    after = check(prime(demo, in_place=in_place))
    assert after <= before
    gone = before - after
    assert {(c.severity, c.code) for c in gone} <= {("error", "IO_ERROR")}
    assert gone.total() == (0 if not troubles(before) else 1)


@pytest.mark.parametrize("name", ["cups.glb", "cups.gltf"])
def test_extracted_pictures_leave_no_error_behind(
    name: str, written_clean: Path, tmp_path: Path, check: Check
) -> None:
    """Pictures taken out of a GLB or of data URIs: no new error, no new warning.

    A GLB then has two notes a picture (see ``EXTRACTED``); a data URI leaves nothing behind.
    """
    scene = embedded(written_clean / "tea.gltf", tmp_path / name)
    before = check(scene)
    assert not troubles(before)
    images = _document(scene)["images"]
    primed = prime(scene)
    after = check(primed)
    assert not troubles(after)
    noted = after - before
    held = [(n, i["bufferView"]) for n, i in enumerate(images) if "bufferView" in i]
    assert len(held) == (len(images) if scene.suffix == ".glb" else 0)
    pointers = [p for n, view in held for p in (f"/bufferViews/{view}", f"/images/{n}/uri")]
    assert sorted(c.pointer for c in noted.elements()) == sorted(pointers)
    assert {(c.severity, c.code, c.message) for c in noted} == (EXTRACTED if held else set())
    assert not before - after
    uris = [image["uri"] for image in _document(primed)["images"]]
    assert all((tmp_path / uri).is_file() for uri in uris)


def _document(scene: Path) -> Scene:
    data = scene.read_bytes()
    if data[:4] == b"glTF":
        data = data[20 : 20 + struct.unpack_from("<I", data, 12)[0]]
    document: Scene = json.loads(data)
    return document


def test_the_validator_does_complain(tmp_path: Path, check: Check) -> None:
    """A scene that names a missing picture and a material that is not there is no clean one."""
    scene = tmp_path / "bad.gltf"
    scene.write_text(
        json.dumps(
            {
                "asset": {"version": "2.0"},
                "images": [{"uri": "none.png"}],
                "materials": [{"normalTexture": {"index": 7}}],
            }
        ),
        encoding="utf-8",
    )
    codes = {c.code for c in troubles(check(scene))}
    assert codes == {"IO_ERROR", "UNRESOLVED_REFERENCE"}
