"""Route *tag*: the token of its reading into each image's name, and every reference after it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from primecoat.files import sha256_of_bytes
from primecoat.inventory.measure_embedded import embedded_suffix
from primecoat.plan.agreeing import make_agree
from primecoat.plan.draft import Draft
from primecoat.plan.explicit import has_token, misread_by_standard
from primecoat.plan.operations import ExtractImage, LinkImage, Operation, RenameImage
from primecoat.plan.renaming import Renaming
from primecoat.reading.judgement import ImageReading
from primecoat.reading.names import tagged_name
from primecoat.scenes.placeholders import has_placeholder


def plan_tag(draft: Draft, images: Sequence[ImageReading]) -> None:
    """Add to a draft what the tag route does for some images."""
    renaming = Renaming(draft) if draft.in_place else None
    for image in images:
        misread = misread_by_standard(image)
        if misread:
            draft.hold(
                image.record.path,
                f"It is to be read as {image.reading}, but {misread}.",
                "Convert the picture to the space that the standard wants.",
            )
            continue
        if image.record.embedded is not None:
            _extract(draft, image)
        elif not has_token(image) or image.record.problems:
            _tag(draft, image, renaming)
        make_agree(draft, image)


def _tag(draft: Draft, image: ImageReading, renaming: Renaming | None) -> None:
    record, reading = image.record, image.reading
    if renaming and renaming.refuses(image):
        return
    steps: list[Operation] = []
    for file, measure in zip(record.files, record.measures, strict=True):
        target = file.with_name(tagged_name(file.name, reading))
        if target == file:
            continue
        free = draft.is_free(target, file, measure.sha256, record.path)
        if free is None:
            return
        if free:
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
    target = record.files[0].with_name(tagged_name(record.name, reading))
    for use in record.uses:
        draft.redirect(use.scene, use.reference, target)
    if renaming:
        renaming.follow(image)


def _extract(draft: Draft, image: ImageReading) -> None:
    record = image.record
    if record.embedded is None or not record.uses:
        return
    use = record.uses[0]
    if has_placeholder(use.reference.written):
        draft.hold(
            record.path,
            "It is one of several tiles in a package that one path names; without the others it "
            "is not taken out.",
            "Use the declare route; or unpack the scene, and tag that.",
        )
        return
    place = use.reference.location.place
    stem = re.sub(r"[^0-9A-Za-z]+", "_", f"{use.scene.path.stem}_{use.use.owner}_{use.use.slot}")
    number = place.split("/")[2]
    ending = embedded_suffix(record.embedded, record.media_type)
    target = use.scene.path.with_name(f"{stem}_{number}_{image.reading}{ending}")
    sha256 = sha256_of_bytes(record.embedded)
    free = draft.is_free(target, record.path, sha256, record.path)
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
    for embedded_use in record.uses:
        draft.redirect(embedded_use.scene, embedded_use.reference, target)
