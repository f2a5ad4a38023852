"""Small MaterialX documents, and what tests ask of them."""

from __future__ import annotations

from pathlib import Path

from primecoat.scenes.formats import materialx
from primecoat.scenes.model import Scene


def document(body: str, root: str = 'colorspace="lin_rec709"') -> str:
    return f'<materialx version="1.39" {root}>{body}</materialx>'


def read(folder: Path, body: str, root: str = 'colorspace="lin_rec709"') -> Scene:
    path = folder / "s.mtlx"
    path.write_text(document(body, root), encoding="utf-8")
    return materialx.read(path, "s.mtlx")


def material(connection: str, shader: str = "standard_surface") -> str:
    return (
        f'<{shader} name="s" type="surfaceshader"><input {connection}/></{shader}>'
        '<surfacematerial name="glaze" type="material">'
        '<input name="surfaceshader" type="surfaceshader" nodename="s"/></surfacematerial>'
    )


def image(kind: str, name: str = "img", category: str = "image", more: str = "") -> str:
    return (
        f'<{category} name="{name}" type="{kind}">'
        f'<input name="file" type="filename" value="{name}.png" {more}/></{category}>'
    )


def used(scene: Scene) -> set[tuple[str, str, str]]:
    return {(scene.references[u.reference].text, u.slot, u.channels) for u in scene.uses}


LIB = {
    "with.mtlx": '<materialx colorspace="adobergb" fileprefix="lib/">BODY</materialx>',
    "bare.mtlx": '<materialx version="1.39">BODY</materialx>',
    "named.mtlx": '<materialx version="1.39" namespace="ns" colorspace="g22_ap1">BODY</materialx>',
    "chain.mtlx": '<materialx version="1.39"><xi:include href="with.mtlx"/></materialx>',
}


BODY = (
    '<nodegraph name="g"><image name="i" type="color3">'
    '<input name="file" type="filename" value="a.png"/></image></nodegraph>'
)


def said(name: str) -> str:
    return f'colorspace="{name}"'


ROOT = said("lin_rec709")


def write(folder: Path, root: str, body: str) -> Path:
    for name, text in LIB.items():
        (folder / name).write_text(text.replace("BODY", BODY), encoding="utf-8")
    path = folder / "s.mtlx"
    path.write_text(f'<materialx version="1.39" {root}>{body}</materialx>', encoding="utf-8")
    return path
