"""What a change of names in place must heed: links, locked files, and every other reference."""

from __future__ import annotations

from pathlib import Path

from primecoat.plan.draft import Draft
from primecoat.plan.users import scenes_under, scenes_using
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.folders import Folders
from primecoat.scenes.model import ImageReference, Scene
from primecoat.scenes.resolve import resolve


class Renaming:
    """Guards the images that a plan renames in place.

    Parameters
    ----------
    draft
        The plan that is being drawn up.
    """

    def __init__(self, draft: Draft) -> None:
        self._draft = draft
        inventory = draft.readings.inventory
        own = {scene.path for scene in inventory.scenes}
        files = [file for record in inventory.images for file in record.files]
        others = (scene for scene in scenes_under(draft.root) if scene not in own)
        self._elsewhere = scenes_using(others, inventory.roots)
        self._behind_links = {file.resolve() for file in files if file.is_symlink()}
        self._new_names: dict[Path, str] = {}
        self._spare = _unused_references(draft)

    def refuses(self, image: ImageReading) -> bool:
        """Whether an image must keep its name; if so, it is held, with the reason."""
        record, draft = image.record, self._draft
        other = next((s for f in record.files if (s := self._elsewhere.get(f.resolve()))), None)
        if other:
            draft.report(
                "image_is_used_by_another_scene",
                record.path,
                f"{draft.relative(other)} uses this image too and would not find it under a new "
                "name.",
                "Plan for the folder that holds both scenes, or leave out --in-place.",
            )
            return True
        locked = [draft.locked(use.scene.path) for use in record.uses]
        why = next(filter(None, [*locked, *map(self._keeps, record.files)]), "")
        if not why:
            new = {f.resolve(): tagged_name(f.name, image.reading) for f in record.files}
            if any(self._new_names.get(file, name) != name for file, name in new.items()):
                why = "It is wanted under two new names."
            else:
                self._new_names |= new
        if why:
            draft.hold(record.path, why, "Leave out --in-place.")
        return bool(why)

    def follow(self, image: ImageReading) -> None:
        """Make references that no material uses follow an image too: a viewer may load them."""
        for scene, reference, files in self._spare:
            if files == image.record.files:
                new = files[0].with_name(tagged_name(image.record.name, image.reading))
            elif len(files) == 1 and files[0] in image.record.files:
                new = files[0].with_name(tagged_name(files[0].name, image.reading))
            else:
                continue
            self._draft.redirect(scene, reference, new)

    def _keeps(self, file: Path) -> str:
        """Return why a file must keep its name; empty if it may change."""
        if file.is_symlink() or file.resolve() in self._behind_links:
            return f"{file.name} is a symbolic link, or one leads to it."
        if not file.stat().st_mode & 0o222:
            return f"{file.name} is read-only."
        return ""


def _unused_references(draft: Draft) -> list[tuple[Scene, ImageReference, tuple[Path, ...]]]:
    """Return the references in the plan's scenes that no use takes, with their files."""
    inventory = draft.readings.inventory
    folders = Folders()
    found = []
    for scene in inventory.scenes:
        used = {use.reference for use in scene.uses}
        for number, reference in enumerate(scene.references):
            if number not in used and reference.embedded is None:
                text, place = reference.text, reference.location
                resolved = resolve(text, scene.path.parent, inventory.roots, text, place, folders)
                found.append((scene, reference, resolved.files))
    return found
