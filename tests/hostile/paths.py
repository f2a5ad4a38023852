"""Scenes, packages and plans that want files opened or written where they may not be."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

from tests.hostile.case import GIVES, Case, Make, file
from tests.plan import small as s
from tests.reading.worlds import sheet
from tests.scenes import builders as b
from tests.scenes.materialx_documents import document, image, material
from tests.scenes.usd_stages import layer, preview

REFERENCE = 'def Xform "W" (\n    references = @%s@</A>\n)\n{\n}\n'


def uri(text: str) -> Make:
    """Return the writer of a glTF whose one image is named so."""
    return lambda folder: b.write_gltf(folder / "s.gltf", b.gltf([{"uri": text}]))


def buffer(text: str) -> Make:
    """Return the writer of a glTF whose picture lies in a buffer that is named so."""
    views = [{"buffer": 0, "byteLength": 1}]
    made = b.gltf([{"bufferView": 0}], bufferViews=views, buffers=[{"uri": text, "byteLength": 1}])
    return lambda folder: b.write_gltf(folder / "s.gltf", made)


def linked(folder: Path) -> Path:
    """Write a picture that is a link to one outside."""
    (folder / "a.png").symlink_to(folder.parent.parent / "outside" / "x.png")
    return uri("a.png")(folder)


def linked_folder(folder: Path) -> Path:
    """Write a folder of pictures that is a link to one outside."""
    (folder / "maps").symlink_to(folder.parent.parent / "outside")
    return folder


def row(text: str) -> Make:
    """Return the writer of a sheet whose one picture is named so."""
    return lambda folder: sheet(folder, f"{text},x,base_color,rgb,,")


def package(*, entry: str, text: str, how: int = zipfile.ZIP_STORED) -> Make:
    """Return the writer of a USD package."""

    def make(folder: Path) -> Path:
        with zipfile.ZipFile(folder / "s.usdz", "w", how) as archive:
            archive.writestr("s.usda", "#usda 1.0\n" + text)
            archive.writestr(entry, b.png())
        return folder / "s.usdz"

    return make


def materialx(text: str) -> Make:
    """Return the writer of a MaterialX document whose one picture is named so."""
    body = image("color3").replace('value="img.png"', f'value="{text}"')
    body += material('name="base_color" type="color3" nodename="img"')

    def make(folder: Path) -> Path:
        (folder / "s.mtlx").write_text(document(body), encoding="utf-8")
        return folder / "s.mtlx"

    return make


def prefixed(text: str) -> Make:
    """Return the writer of a MaterialX document that puts a folder before every file name."""

    def make(folder: Path) -> Path:
        body = image("color3").replace("img.png", "x.png")
        body += material('name="base_color" type="color3" nodename="img"')
        made = document(body).replace("<materialx ", f'<materialx fileprefix="{text}" ', 1)
        (folder / "s.mtlx").write_text(made, encoding="utf-8")
        return folder / "s.mtlx"

    return make


def corrections(text: str) -> Make:
    """Return the writer of a list of corrections that names a file of CDL numbers."""
    return file(
        "old.toml",
        f'space = "lin_rec709_scene"\n[[correction]]\nfile = "{text}"\nclamp = false\n',
    )


def corrections_linked(folder: Path) -> Path:
    """Write a list of corrections beside a link to a file outside."""
    (folder / "grade.cc").symlink_to(folder.parent.parent / "outside" / "grade.cc")
    return corrections("grade.cc")(folder)


def referring(folder: Path) -> Path:
    """Write a list that names a look-up file, which refers to one outside."""
    outside = folder.parent.parent / "outside" / "grade.cc"
    (folder / "a.ctf").write_text(
        '<?xml version="1.0"?><ProcessList id="a" version="1.7"><Reference inBitDepth="32f" '
        f'outBitDepth="32f" path="{outside}"/></ProcessList>',
        encoding="utf-8",
    )
    return file("old.ocio", "- !<FileTransform> {src: a.ctf}\n")(folder)


def including(text: str) -> Make:
    """Return the writer of a MaterialX document that includes another file."""

    def make(folder: Path) -> Path:
        body = f'<xi:include href="{text}"/>'
        (folder / "s.mtlx").write_text(document(body), encoding="utf-8")
        return folder / "s.mtlx"

    return make


def edited_plan(before: str, after: str) -> Make:
    """Return the writer of a plan in which something was changed by hand."""

    def make(folder: Path) -> Path:
        s.pictures(folder, "cup.png")
        made = s.plan(s.gltf(folder / "s.gltf", ("cup.png", "base_color")))
        text = json.dumps(made.as_document({}))
        assert before in text
        (folder / "plan.json").write_text(text.replace(before, after), encoding="utf-8")
        return folder / "plan.json"

    return make


NEW = f"cup_{s.SRGB}.png"
APPLY = ("apply", None)
TEX = "asset inputs:file = @%s@"

PATHS = {
    "path up": Case(make=uri("../../outside/x.png"), words=("outside", "not opened", "--root")),
    "path up, percent-encoded": Case(
        make=uri("%2e%2e/%2e%2e/outside/x.png"), words=("outside", "not opened")
    ),
    "path up, backslashes": Case(make=uri("..\\..\\outside\\x.png"), words=("not opened",)),
    "absolute path": Case(make=uri("/etc/hostname"), words=("outside", "not opened")),
    "network share": Case(make=uri("\\\\host\\share\\x.png"), words=("not opened",)),
    "web address": Case(make=uri("https://example.org/x.png"), words=("never uses the network",)),
    "file address": Case(make=uri("file:///etc/hostname"), words=("is an address, not a file",)),
    "link out": Case(make=linked, words=("is a link to", "not opened")),
    "link of a folder out": Case(make=linked_folder, words=("link to the folder", "opened")),
    "a NUL in a path": Case(make=uri("a%00.png"), words=("The reference is empty",)),
    "buffer up": Case(make=buffer("../../outside/x.png"), words=("outside the scene's folder",)),
    "buffer by address": Case(make=buffer("http://example.org/b.bin"), words=("cannot be read",)),
    "sheet path up": Case(make=row("../../outside/x.png"), words=("outside", "not opened")),
    "sheet by address": Case(
        make=row("ftp://example.org/x.png"), words=("never uses the network",)
    ),
    "MaterialX picture up": Case(
        make=materialx("../../outside/x.png"), words=("outside", "not opened")
    ),
    "MaterialX include up": Case(
        make=including("../../outside/x.mtlx"), words=("outside the scene's folder",)
    ),
    "MaterialX include by address": Case(
        make=including("https://example.org/x.mtlx"), words=("names no local file",)
    ),
    "USD layer up": Case(
        make=lambda folder: layer(folder, REFERENCE % "../../../outside/x.usda", "s.usda"),
        words=("outside", "--root"),
    ),
    "USD texture up": Case(
        make=lambda folder: layer(folder, preview(TEX % "../../outside/x.png"), "s.usda"),
        words=("outside", "not opened"),
    ),
    "USD texture by address": Case(
        make=lambda folder: layer(folder, preview(TEX % "https://example.org/x.png"), "s.usda"),
        words=("never uses the network",),
    ),
    "package slip": Case(
        make=package(entry="../../outside/slip.png", text=preview(TEX % "../../outside/x.png")),
        words=("s.usdz",),
    ),
    "package entry compressed": Case(
        make=package(entry="a.png", text=preview(TEX % "./a.png"), how=zipfile.ZIP_DEFLATED),
        words=("s.usdz",),
        code=2,
    ),
    "plan writes up": Case(
        make=edited_plan(f'"{NEW}"', '"../../outside/new.png"'),
        words=("lies outside",),
        command=APPLY,
    ),
    "plan writes absolute": Case(
        make=edited_plan(f'"{NEW}"', '"/outside.png"'), words=("lies outside",), command=APPLY
    ),
    "plan writes into the state folder": Case(
        make=edited_plan(f'"{NEW}"', '".primecoat/journal.jsonl"'),
        words=("is hidden, as its state folder is",),
        command=APPLY,
    ),
    "plan writes settings": Case(
        make=edited_plan(f'"{NEW}"', '".profile"'), words=("is hidden",), command=APPLY
    ),
    "plan writes a program": Case(
        make=edited_plan(f'"{NEW}"', '"start.sh"'),
        words=("start.sh", "neither a scene nor a picture"),
        command=APPLY,
    ),
    "MaterialX prefix up": Case(
        make=prefixed("../../outside/"), words=("outside", "not opened", "--root")
    ),
    "corrections that name a file up": Case(
        make=corrections("../../outside/grade.cc"),
        words=("grade.cc", "not below its folder", "not opened"),
        code=2,
        command=("corrections", None, "--json"),
    ),
    "corrections that name an absolute path": Case(
        make=corrections("/etc/hostname.cc"),
        words=("/etc/hostname.cc", "not opened"),
        code=2,
        command=("corrections", None, "--json"),
    ),
    "corrections that name a link out": Case(
        make=corrections_linked,
        words=("grade.cc", "not opened"),
        code=2,
        command=("corrections", None, "--json"),
    ),
    "list of transforms that names a file up": Case(
        make=file("old.ocio", "- !<FileTransform> {src: ../../outside/grade.cc}\n"),
        words=("grade.cc", "not below its folder", "not opened"),
        code=2,
        command=("corrections", None, "--from", "lin_rec709_scene", "--json"),
    ),
    "list of transforms whose file names another": Case(
        make=referring,
        words=("refers to another file",),
        code=2,
        command=("corrections", None, *GIVES),
    ),
    "plan reads up": Case(
        make=edited_plan('"source": "cup.png"', '"source": "../../outside/x.png"'),
        words=("lies outside",),
        command=APPLY,
    ),
}
"""By name."""
