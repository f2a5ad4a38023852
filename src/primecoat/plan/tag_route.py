"""Route *tag*: the token of its reading into each image's name, and every reference after it."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path

from primecoat.errors import InputError
from primecoat.files import sha256_of_bytes
from primecoat.inventory.take import embedded_suffix
from primecoat.plan.draft import Draft
from primecoat.plan.explicit import has_token, misread_by_standard
from primecoat.plan.operations import ExtractImage, LinkImage, Operation, RenameImage
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.registry import FORMATS, SUFFIXES
from primecoat.scenes.resolve import folder_names, resolve


def plan_tag(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the tag route does for some images."""
    elsewhere = _used_elsewhere(draft) if draft.in_place else {}
    for image in images:
        misread = misread_by_standard(image)
        if misread:
            draft.hold(
                image.record.path,
                f"It is to be read as {image.reading}, but {misread}.",
                "Convert the picture to the space that the standard wants.",
            )
        elif image.record.embedded is not None:
            _extract(draft, image)
        elif not has_token(image) or image.record.problems:
            _tag(draft, image, elsewhere)


def _tag(draft: Draft, image: ImageReading, elsewhere: dict[Path, str]) -> None:
    record, reading = image.record, image.reading
    other = next((elsewhere[f] for f in record.files if f in elsewhere), None)
    if other:
        draft.report(
            "image_is_used_by_another_scene",
            record.path,
            f"{other} uses this image too and would not find it under a new name.",
            "Plan for the folder that holds both scenes, or leave out --in-place.",
        )
        return
    steps: list[Operation] = []
    for file, measure in zip(record.files, record.measures, strict=True):
        target = file.with_name(tagged_name(file.name, reading))
        if target == file:
            continue
        free = draft.is_free(target, file, measure.sha256)
        if free is None:
            return
        if free or draft.in_place:
            kind = RenameImage if draft.in_place else LinkImage
            steps.append(
                kind(
                    source=draft.relative(file),
                    target=draft.relative(target),
                    sha256=measure.sha256,
                    reading=reading,
                )
            )
    draft.operations += steps
    folder = record.files[0].parent
    draft.redirect(record.uses, folder / tagged_name(record.name, reading))


def _extract(draft: Draft, image: ImageReading) -> None:
    record = image.record
    if record.embedded is None or not record.uses:
        return
    use = record.uses[0]
    place = use.reference.location.place
    stem = re.sub(r"[^0-9A-Za-z]+", "_", f"{use.scene.path.stem}_{use.use.owner}_{use.use.slot}")
    number = place.split("/")[2]
    ending = embedded_suffix(record.embedded, record.media_type)
    target = use.scene.path.with_name(f"{stem}_{number}_{image.reading}{ending}")
    sha256 = sha256_of_bytes(record.embedded)
    free = draft.is_free(target, record.path, sha256)
    if free is None:
        return
    if free:
        draft.operations.append(
            ExtractImage(
                scene=draft.relative(use.scene.path),
                place=place,
                target=draft.relative(target),
                sha256=sha256,
                reading=image.reading,
            )
        )
    draft.redirect(record.uses, target)


def _used_elsewhere(draft: Draft) -> dict[Path, str]:
    """Return the images that scenes outside this plan use, with the name of such a scene."""
    inventory = draft.readings.inventory
    own = {scene.path for scene in inventory.scenes}
    names_in = folder_names()
    found: dict[Path, str] = {}
    for at, folders, names in os.walk(draft.root):
        folders[:] = [f for f in folders if not f.startswith(".")]
        for name in names:
            path = Path(at) / name
            if path.suffix.lower() not in SUFFIXES or path in own:
                continue
            try:
                scene = FORMATS[SUFFIXES[path.suffix.lower()]].read(path, draft.relative(path))
            except InputError:
                continue
            for reference in scene.references:
                if reference.embedded is None:
                    resolved = resolve(
                        reference.text,
                        path.parent,
                        inventory.roots,
                        reference.text,
                        reference.location,
                        names_in,
                    )
                    found |= dict.fromkeys(resolved.files, scene.name)
    return found
