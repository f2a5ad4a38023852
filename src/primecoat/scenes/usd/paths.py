"""From an asset path in a stage to what it stands for, as OpenUSD's resolver finds it."""

from __future__ import annotations

import os
import re
import zipfile
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from primecoat.scenes.placeholders import has_placeholder, name_pattern
from primecoat.scenes.usd import door

_SEPARATOR = re.compile(r"[/\\]")
_ABSOLUTE = re.compile(r"^([/\\]|[A-Za-z][A-Za-z0-9+.-]*:)")

IMAGE_SUFFIXES = (
    *(".png", ".jpg", ".jpeg", ".tif", ".tiff", ".exr", ".hdr", ".webp", ".avif", ".tga", ".bmp"),
    *(".tx", ".dpx", ".psd", ".gif", ".ktx2"),
)
"""File endings by which an asset counts as a picture where nothing else says what it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AssetText:
    """An asset path as it is written and as it is meant.

    Parameters
    ----------
    written
        As it stands in the layer.
    text
        From the folder of the scene, not normalised; for a picture inside a package its name,
        such as ``tea.usdz[textures/cup.png]``.
    package
        The package and the picture in it as the resolver names them; empty for a plain file.
    """

    written: str
    text: str
    package: str = ""


def asset_text(asset: Any, layer: Any, folder: Path) -> AssetText:
    """Return what an asset path stands for.

    Parameters
    ----------
    asset
        An ``Sdf.AssetPath``, resolved by the stage.
    layer
        The layer that it is written in; relative paths start from there.
    folder
        Folder of the scene file.
    """
    written = getattr(asset, "authoredPath", "") or asset.path
    meant = getattr(asset, "evaluatedPath", "") or asset.path
    resolved = str(asset.resolvedPath)
    anchored = resolved or str(door.Sdf.ComputeAssetPathRelativeToLayer(layer, meant))
    if door.Ar.IsPackageRelativePath(anchored):
        outer, inner = door.Ar.SplitPackageRelativePathOuter(anchored)
        shown = _relative(str(outer), folder)
        return AssetText(written=written, text=f"{shown}[{inner}]", package=anchored)
    if _ABSOLUTE.match(meant):
        return AssetText(written=written, text=meant)
    home = os.path.dirname(layer.realPath)  # noqa: PTH120 - the text must not be normalised
    beside = os.path.join(home, meant)  # noqa: PTH118
    if resolved and os.path.normpath(resolved) != os.path.normpath(beside):
        return AssetText(written=written, text=_apart(_relative(resolved, folder), written))
    if os.path.normpath(home) == os.path.normpath(folder):
        return AssetText(written=written, text=meant)
    return AssetText(written=written, text=_apart(f"{_relative(home, folder)}/{meant}", written))


def read_packaged(identifier: str) -> bytes:
    """Return the bytes of a file inside a package, which is a ZIP archive without compression.

    Raises
    ------
    OSError, KeyError, zipfile.BadZipFile
        If it cannot be read or is not there.
    """
    outer, inner = door.Ar.SplitPackageRelativePathOuter(identifier)
    data = Path(outer).read_bytes()
    while inner:
        name, inner = door.Ar.SplitPackageRelativePathOuter(inner)
        with zipfile.ZipFile(BytesIO(data)) as archive:
            entry = archive.getinfo(name)
            if entry.compress_type != zipfile.ZIP_STORED:
                raise zipfile.BadZipFile(f"{name} is compressed, which a package must not be")
            data = archive.read(entry)
    return data


def packaged_tiles(text: AssetText) -> list[AssetText]:
    """Return the tiles inside a package that an asset path with ``<UDIM>`` stands for, in order.

    Empty for a path without such a placeholder, and where no tile is there.
    """
    package, name = door.Ar.SplitPackageRelativePathInner(text.package)
    folder, _, last = str(name).rpartition("/")
    if not has_placeholder(last):
        return []
    pattern = name_pattern(last)
    try:
        names = _names_in(str(package))
    except (OSError, KeyError, zipfile.BadZipFile):
        return []
    found = [
        tile
        for tile in sorted(names)
        if tile.rpartition("/")[0] == folder and pattern.fullmatch(tile.rpartition("/")[2])
    ]
    return [
        AssetText(
            written=text.written,
            text=text.text.replace(str(name), tile),
            package=text.package.replace(str(name), tile),
        )
        for tile in found
    ]


def _names_in(package: str) -> list[str]:
    """Return the names of the files in a package, which may lie inside another."""
    nested = door.Ar.IsPackageRelativePath(package)
    source = BytesIO(read_packaged(package)) if nested else package
    with zipfile.ZipFile(source) as archive:
        return archive.namelist()


def _relative(path: str, folder: Path) -> str:
    return Path(os.path.relpath(path, os.path.abspath(folder))).as_posix()


def _apart(text: str, written: str) -> str:
    """Return a text that no one takes for the written one with its folder kept.

    A new path is put together from the written one where both have as many separators; here
    they start from different folders.
    """
    while len(_SEPARATOR.findall(text)) == len(_SEPARATOR.findall(written)):
        text = f"./{text}"
    return text
