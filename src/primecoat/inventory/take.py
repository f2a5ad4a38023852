"""Take stock of a scene file or a folder: find every image, its uses and its measures."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from primecoat import jobs
from primecoat.errors import InputError, UseError
from primecoat.findings import Finding, finding
from primecoat.inventory.measure_all import measure_files
from primecoat.inventory.measure_embedded import measure_embedded
from primecoat.inventory.model import ImageRecord, Inventory, Measure, SceneUse, shown_path
from primecoat.location import Location
from primecoat.scenes.folders import Folders
from primecoat.scenes.model import ImageReference, Scene
from primecoat.scenes.placeholders import has_placeholder
from primecoat.scenes.registry import FORMATS, SUFFIXES, format_of, read_scene
from primecoat.scenes.resolve import (
    Resolved,
    default_roots,
    link_trouble,
    resolve,
)

IMAGE_SUFFIXES = (
    ".png",
    ".jpg",
    ".jpeg",
    ".tif",
    ".tiff",
    ".exr",
    ".hdr",
    ".webp",
    ".tga",
    ".bmp",
    ".tx",
    ".dpx",
    ".psd",
    ".gif",
    ".ktx2",
)
"""Endings by which a file in a folder counts as an image."""

_TILE = re.compile(r"^(?P<head>.+[._-])(?P<tile>1\d{3})(?P<tail>\.[^.]+)$")


@dataclass(slots=True)
class _Entry:
    """An image while uses are being gathered."""

    path: str
    name: str
    files: tuple[Path, ...] = ()
    uses: list[SceneUse] = field(default_factory=list)
    problems: list[Finding] = field(default_factory=list)
    embedded: bytes | None = None
    media_type: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What a target holds, before anything is measured."""

    target: Path
    roots: tuple[Path, ...]
    scenes: list[Scene]
    entries: list[_Entry]
    problems: list[Finding]

    @property
    def home(self) -> Path:
        return self.target if self.target.is_dir() else self.target.parent


def take_inventory(
    target: Path,
    *,
    roots: Sequence[Path] = (),
    verify: bool = False,
    progress: jobs.Progress | None = None,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
) -> Inventory:
    """Take stock of a target.

    Parameters
    ----------
    target
        A scene file, or a folder (all images and all scene files under it).
    roots
        Folders the scene may reach; by default its own folder, or the parent if its references
        stay in that.
    verify
        Hash every file again instead of believing size, time and inode.
    progress
        Told what is measured.
    workplace
        Where images are measured.

    Raises
    ------
    UseError
        If there is no such target or no format reads it.
    InputError
        If the target is a scene file that cannot be read.
    """
    found = _find(Path(os.path.abspath(target)), roots)
    images = _measured(found.entries, found.home, verify, progress, workplace)
    problems = found.problems
    for scene in found.scenes:
        problems += scene.problems
    return Inventory(
        target=found.target,
        roots=found.roots,
        scenes=tuple(found.scenes),
        images=tuple(sorted(images, key=lambda image: image.path)),
        problems=tuple(problems),
    )


def measure_share(
    target: Path,
    share: jobs.Shard,
    *,
    roots: Sequence[Path] = (),
    verify: bool = False,
    progress: jobs.Progress | None = None,
    workplace: jobs.Workplace = jobs.USUAL_PLACE,
) -> dict[str, Measure]:
    """Measure a share of a target's images into the cache, where a whole survey finds them.

    Parameters
    ----------
    share
        Which of the files.
    target, roots, verify, progress, workplace
        As for :func:`take_inventory`.

    Returns
    -------
    dict
        Path as a survey shows it, to the measure.
    """
    found = _find(Path(os.path.abspath(target)), roots)
    paths = sorted({file for entry in found.entries for file in entry.files})
    known = measure_files(
        share.share(paths),
        found.home,
        verify=verify,
        workplace=workplace,
        progress=progress,
        only_a_share=not share.whole,
    )
    return {shown_path(path, found.roots): measure for path, measure in known.items()}


def _find(target: Path, roots: Sequence[Path]) -> _Found:
    """Find every scene and image of a target, nothing measured yet."""
    for root in roots:
        if not root.is_dir():
            raise UseError(f"There is no folder {root} to be a root.", "Check the name.")
    if target.is_dir():
        folder = target
        allowed = tuple(Path(os.path.abspath(r)) for r in roots) or (folder,)
        if not any(folder.is_relative_to(root) for root in allowed):
            allowed = (folder, *allowed)
        files, problems = _walk(target, allowed)
        scenes = []
        for file in files:
            if file.suffix.lower() in SUFFIXES and FORMATS[format_of(file)].claims(file):
                scene, problem = _read_or_report(file, allowed)
                scenes += [scene] if scene else []
                problems += [problem] if problem else []
        pictures = [f for f in files if f.suffix.lower() in IMAGE_SUFFIXES]
    elif target.exists():
        first = read_scene(target, target.name, roots)
        texts = [r.text for r in first.references if r.embedded is None] + [*first.layers]
        allowed = tuple(Path(os.path.abspath(r)) for r in roots) or default_roots(
            target.parent, texts
        )
        if not any(target.is_relative_to(root) for root in allowed):
            allowed = (target.parent, *allowed)
        name = shown_path(target, allowed)
        scenes = [first if name == target.name else read_scene(target, name, allowed)]
        pictures, problems = [], []
    else:
        raise UseError(f"There is no file or folder {target}.", "Check the name.")

    entries = _gather(scenes, allowed, Folders())
    _add_pictures(entries, pictures, allowed)
    return _Found(
        target=target,
        roots=allowed,
        scenes=scenes,
        entries=list(entries.values()),
        problems=problems,
    )


def _walk(folder: Path, roots: tuple[Path, ...]) -> tuple[list[Path], list[Finding]]:
    """Return all files under a folder, sorted, and what could not be looked into.

    Hidden folders are left out, and links to folders are not followed.
    """
    found: list[Path] = []
    problems: list[Finding] = []

    def report(error: OSError) -> None:
        if Path(error.filename) == folder:
            raise InputError(
                f"Cannot list the folder {folder}: {error.strerror}.", "Check its rights."
            ) from error
        shown = shown_path(Path(error.filename), roots)
        problems.append(
            finding(
                "file_is_missing",
                shown,
                f"The folder {shown} cannot be listed: {error.strerror}.",
                "Give yourself rights to it, or move it out of the folder.",
            )
        )

    for at, folders, names in os.walk(folder, onerror=report):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        problems += [p for f in folders if (p := _linked_out(Path(at) / f, folder, roots))]
        found += [Path(at) / name for name in sorted(names) if not name.startswith(".")]
    return found, problems


def _linked_out(folder: Path, target: Path, roots: tuple[Path, ...]) -> Finding | None:
    """Return a finding on a link to a folder outside the target, which is not followed."""
    real = folder.resolve()
    if not folder.is_symlink() or real.is_relative_to(target.resolve()):
        return None
    return finding(
        "file_is_outside_the_root",
        shown_path(folder, roots),
        f"{shown_path(folder, roots)} is a link to the folder {real}, outside {roots[0]}; nothing "
        "in it was opened.",
        f"Survey {real} as a folder of its own, or survey the scene that uses it with "
        f"--root {real}.",
    )


def _read_or_report(file: Path, roots: tuple[Path, ...]) -> tuple[Scene | None, Finding | None]:
    name = shown_path(file, roots)
    trouble = link_trouble(file, name, roots, name, Location(name))
    if trouble:
        return None, trouble
    try:
        return read_scene(file, name, roots), None
    except InputError as error:
        return None, finding(
            "scene_cannot_be_read", name, error.message, error.remedy or "Mend or remove the file."
        )


def _gather(
    scenes: Sequence[Scene], roots: tuple[Path, ...], folders: Folders
) -> dict[object, _Entry]:
    """Resolve every reference that is used, and put uses of one image together."""
    entries: dict[object, _Entry] = {}
    for scene in scenes:
        keys: dict[int, object] = {}
        sound: dict[str, object] = {}
        for use in scene.uses:
            reference = scene.references[use.reference]
            if use.reference not in keys:
                key = sound.get(reference.text) if reference.embedded is None else None
                if key is None:
                    key = _enter(entries, scene, reference, roots, folders)
                    if reference.embedded is None and not entries[key].problems:
                        sound[reference.text] = key
                keys[use.reference] = key
            entry = entries[keys[use.reference]]
            entry.uses.append(SceneUse(scene=scene, use=use, reference=reference))
    return entries


def _enter(
    entries: dict[object, _Entry],
    scene: Scene,
    reference: ImageReference,
    roots: tuple[Path, ...],
    folders: Folders,
) -> object:
    if reference.embedded is not None:
        inside = reference.location.place.rsplit("/", 1)[0]
        path = reference.package or f"{scene.name}#{inside.lstrip('/')}"
        entries.setdefault(
            path,
            _Entry(path, "", embedded=reference.embedded, media_type=reference.media_type),
        )
        return path
    anchor = scene.path.parent
    found = resolve(reference.text, anchor, roots, reference.text, reference.location, folders)
    path = _name_of(found, reference.text, roots)
    key = found.files or path
    entry = entries.setdefault(key, _Entry(path, path.rsplit("/", 1)[-1], files=found.files))
    if found.problem:
        entry.problems.append(replace(found.problem, where=path))
    return key


def _name_of(found: Resolved, text: str, roots: tuple[Path, ...]) -> str:
    if found.path is None:
        return text
    if len(found.files) == 1 and not has_placeholder(found.path.name):
        return shown_path(found.files[0], roots)
    return shown_path(found.path, roots)


def _add_pictures(
    entries: dict[object, _Entry], pictures: Sequence[Path], roots: tuple[Path, ...]
) -> None:
    """Add the images of a folder that no scene names; tiles that differ in number are one set."""
    known = {file for entry in entries.values() for file in entry.files}
    sets: dict[str, list[Path]] = {}
    for file in pictures:
        if file in known:
            continue
        shown = shown_path(file, roots)
        trouble = link_trouble(file, shown, roots, shown, Location(shown))
        if trouble:
            entries[file] = _Entry(shown, file.name, problems=[trouble])
            continue
        tile = _TILE.match(file.name)
        pattern = f"{tile['head']}<UDIM>{tile['tail']}" if tile else file.name
        sets.setdefault(shown_path(file.parent / pattern, roots), []).append(file)
    for path, files in sets.items():
        if len(files) == 1:
            path = shown_path(files[0], roots)
        entries[tuple(files)] = _Entry(path, path.rsplit("/", 1)[-1], files=tuple(files))


def _measured(
    entries: Sequence[_Entry],
    home: Path,
    verify: bool,
    progress: jobs.Progress | None,
    workplace: jobs.Workplace,
) -> list[ImageRecord]:
    paths = [file for entry in entries for file in entry.files]
    known = measure_files(paths, home, verify=verify, workplace=workplace, progress=progress)
    inside = [(e.path, e.embedded, e.media_type) for e in entries if e.embedded]
    measures = measure_embedded(inside, workplace)
    found = {path: measure for (path, _, _), measure in zip(inside, measures, strict=True)}
    return [
        _record(e, [found[e.path]] if e.embedded else [known[file] for file in e.files])
        for e in entries
    ]


def _record(entry: _Entry, measures: list[Measure]) -> ImageRecord:
    return ImageRecord(
        path=entry.path,
        name=entry.name,
        files=entry.files,
        uses=tuple(entry.uses),
        measures=tuple(measures),
        embedded=entry.embedded,
        media_type=entry.media_type,
        problems=tuple(dict.fromkeys(entry.problems)),
    )
