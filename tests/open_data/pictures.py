"""Real pictures that nobody here made, from packages that registries carry, pinned by hash.

No picture is kept in this repository: only these pins and the labels beside them.
``labels.csv`` may be used to fit; ``labels_held_out.csv``, of other packages, never.
"""

from __future__ import annotations

import base64
import csv
import re
import tarfile
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from tests.open_data.glb import glb_pictures
from tests.open_data.npm import Package, cached, unpacked
from tests.open_data.pypi import fetch_from_pypi

HERE = Path(__file__).parent
LABELS = HERE / "labels.csv"
HELD_OUT = HERE / "labels_held_out.csv"

_MODULE = re.compile(r"""export default ['"]data:[a-z0-9/+.-]+;base64,([A-Za-z0-9+/=]+)['"]""")
_ENDINGS = (".png", ".jpg", ".jpeg", ".tif", ".webp", ".exr", ".bmp", ".gif")


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What a person says of one picture, and whence it is known.

    ``truth`` is ``colour``, ``data`` or ``unknown``; ``space`` is ``data``, ``unknown`` or a Color
    Interop ID that a true statement tells: of it the primaries and the curve, as headers do not
    say whether scene or display is meant; ``slot`` is a slot's word.
    """

    package: str
    path: str
    truth: str
    space: str
    slot: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One pinned package, its licence as it states it, and how its pictures are taken out."""

    package: Package
    licence: str
    fetch: Callable[[Package], Path]


def _keep(folder: Path, name: str, data: bytes) -> None:
    target = folder / name
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)


def _wanted(name: str) -> bool:
    path = PurePosixPath(name)
    return path.suffix.lower() in _ENDINGS and ".." not in path.parts and not path.is_absolute()


def _files(members: tarfile.TarFile) -> Iterator[tuple[str, bytes]]:
    for member in members:
        stream = members.extractfile(member) if member.isfile() else None
        if stream is not None:
            yield member.name.split("/", 1)[-1], stream.read()


def _take_files(members: tarfile.TarFile, folder: Path) -> None:
    for name, data in _files(members):
        if _wanted(name):
            _keep(folder, name, data)


def _take_modules(members: tarfile.TarFile, folder: Path) -> None:
    for name, data in _files(members):
        match = _MODULE.match(data.decode()) if name.endswith(".js") else None
        path = PurePosixPath(name)
        if match and len(path.parts) == 2 and path.parts[0] != "fonts":
            _keep(folder, str(path.with_suffix("")), base64.b64decode(match[1]))


def _take_glb(members: tarfile.TarFile, folder: Path) -> None:
    for name, data in _files(members):
        if name.endswith(".glb"):
            for inside, picture, _ in glb_pictures(data):
                _keep(folder, f"{name.removesuffix('.glb')}/{inside}", picture)


def _npm(unpack: Callable[[tarfile.TarFile, Path], None]) -> Callable[[Package], Path]:
    return lambda package: unpacked(package, unpack)


def _pypi(package: Package) -> Path:
    return cached(package, fetch_from_pypi, _fill_from_python)


def _fill_from_python(archive: Path, folder: Path) -> None:
    if archive.suffix != ".whl":
        with tarfile.open(archive) as members:
            return _take_files(members, folder)
    with zipfile.ZipFile(archive) as wheel:
        for name in filter(_wanted, wheel.namelist()):
            _keep(folder, name, wheel.read(name))


def _source(
    name: str, archive: str, sha256: str, licence: str, fetch: Callable[[Package], Path]
) -> Source:
    return Source(package=Package(name, archive, sha256), licence=licence, fetch=fetch)


SOURCES = {
    "@pmndrs/assets": _source(
        "@pmndrs/assets@1.7.0",
        "pmndrs-assets-1.7.0.tgz",
        "152bd218a3390703f184f0c6ce16e73c8f0a87f32d38530d418a09d33d8208dc",
        "CC0-1.0",
        _npm(_take_modules),
    ),
    "@webxr-input-profiles/assets": _source(
        "@webxr-input-profiles/assets@1.0.20",
        "webxr-input-profiles-assets-1.0.20.tgz",
        "30df2a2268220fc0d0e034bed1550aabdd7a2500573c5216f64fc70d59c3d91e",
        "MIT",
        _npm(_take_glb),
    ),
    "three-globe": _source(
        "three-globe@2.45.2",
        "three-globe-2.45.2.tgz",
        "f6deff6848980a4bda13b0993e5ebc929b27e791e063a5517c87115ff7e669cb",
        "MIT",
        _npm(_take_files),
    ),
    "@cesium/engine": _source(
        "@cesium/engine@26.3.0",
        "cesium-engine-26.3.0.tgz",
        "24ea568356157f8cde7058d04e897b1bccaa966f5d8bb4b09ecb1f114930fa88",
        "Apache-2.0",
        _npm(_take_files),
    ),
    "@openglobus/og": _source(
        "@openglobus/og@0.28.7",
        "openglobus-og-0.28.7.tgz",
        "2ea401b7e159ec18a5d5584ae9d178d43407b87d77747b6766fad67f7f77a845",
        "MIT",
        _npm(_take_files),
    ),
    "metaworld": _source(
        "metaworld==3.1.1",
        "metaworld-3.1.1-py3-none-any.whl",
        "99e25d9baf97f2f1a19ca89c0d2ca9c6a2b396d9a9be81729de64eedc683f0d3",
        "MIT",
        _pypi,
    ),
    "matplotlib": _source(
        "matplotlib==3.11.2",
        "matplotlib-3.11.2-cp311-cp311-manylinux2014_x86_64.manylinux_2_17_x86_64.whl",
        "07d9b9fa60cd4c393692f50d0bb03123242ddf61c99bb0e95e75feb354e7c1a8",
        "Matplotlib (BSD style)",
        _pypi,
    ),
    "imgaug": _source(
        "imgaug==0.4.0",
        "imgaug-0.4.0-py2.py3-none-any.whl",
        "ce61e65b4eb7405fc62c1b0a79d2fa92fd47f763aaecb65152d29243592111f9",
        "MIT",
        _pypi,
    ),
    "pygame-ce": _source(
        "pygame-ce==2.5.8",
        "pygame_ce-2.5.8-cp311-cp311-manylinux2014_x86_64.manylinux_2_17_x86_64.whl",
        "33e1b5a78cd6d25c2c8f00c09cdc0ba8000eec81b53dc7d8d7323d8319691d69",
        "LGPL-2.1",
        _pypi,
    ),
    "scikit-image": _source(
        "scikit-image==0.26.0",
        "scikit_image-0.26.0-cp311-cp311-manylinux_2_24_x86_64.manylinux_2_28_x86_64.whl",
        "74aa5518ccea28121f57a95374581d3b979839adc25bb03f289b1bc9b99c58af",
        "BSD-3-Clause",
        _pypi,
    ),
    "duckietown-world-daffy": _source(
        "duckietown-world-daffy==6.4.3",
        "duckietown-world-daffy-6.4.3.tar.gz",
        "0300dc7eb47bac635d1bc1fb61cf2dc2df0548d3179d95e2c475d6943d2a1d5f",
        "none stated in the archive",
        _pypi,
    ),
}


def package_folder(name: str) -> Path:
    """Return the folder with one package's pictures; skip the test where it cannot be had."""
    source = SOURCES[name]
    return source.fetch(source.package)


def read_labels(labels: Path) -> tuple[Label, ...]:
    """Read one file of labels.

    Raises
    ------
    TypeError
        If a column is missing or unknown.
    """
    with labels.open(newline="", encoding="utf-8") as stream:
        return tuple(Label(**row) for row in csv.DictReader(stream))


def labelled_pictures(labels: Path) -> Iterator[tuple[Path, Label]]:
    """Yield each labelled picture's file with its label."""
    for label in read_labels(labels):
        yield package_folder(label.package) / label.path, label
