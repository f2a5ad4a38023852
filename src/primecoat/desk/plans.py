"""The plans that were drawn up at a desk, and what in them a person must agree to."""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from primecoat.checks.survey import Survey
from primecoat.desk.errors import AbsentError, StaleError
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.files import sha256_of_bytes
from primecoat.location import counted
from primecoat.plan.operations import ExtractImage, Operation, RenameImage, WriteScene
from primecoat.plan.plan import Plan
from primecoat.reading.judgement import ImageReading

KEPT = 4
"""How many plans are kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A plan that was drawn up.

    Parameters
    ----------
    id
        Name of the plan: it is the same for the same plan.
    version
        Version of the state that it was drawn up from.
    consent
        For each operation, why a person must agree to it; empty if nobody needs to.
    pictures
        For each operation, path of the picture it is about; empty if it is about none.
    with_likely
        Whether likely readings are acted on.
    left_out
        Ids of the pictures that a person left out.
    """

    id: str
    version: int
    plan: Plan
    consent: tuple[str, ...]
    pictures: tuple[str, ...]
    with_likely: bool
    left_out: tuple[str, ...]

    def check_consent(self, given: Collection[int]) -> None:
        """Refuse unless everything that needs it was agreed to.

        Raises
        ------
        UseError
            If something was not.
        """
        strange = sorted({n for n in given if not 0 <= n < len(self.consent)})
        if strange:
            raise UseError(
                f"The plan has no operation {strange[0]} to agree to. Nothing was changed.",
                "Draw it up again and look at it.",
            )
        missing = [n for n, why in enumerate(self.consent) if why and n not in given]
        if missing:
            first = self.consent[missing[0]]
            raise UseError(
                f"{counted(len(missing), 'operation')} not agreed to; the first: {first} "
                "Nothing was changed.",
                "Agree to it, decide what the picture is, or leave it out of the plan.",
            )


class Plans:
    """The plans that were drawn up last."""

    def __init__(self) -> None:
        self._drawn: dict[str, Drawn] = {}
        self.newest: Drawn | None = None

    def keep(
        self,
        plan: Plan,
        survey: Survey,
        version: int,
        *,
        with_likely: bool,
        left_out: Collection[str],
    ) -> Drawn:
        """Keep a plan; return it with its name and what must be agreed to."""
        by_place = _images_by_place(plan, survey)
        images = [by_place.get(_place(operation)) for operation in plan.operations]
        content = dumps(replace(plan, findings=()).as_document({})).encode()
        drawn = Drawn(
            id=sha256_of_bytes(content)[:16],
            version=version,
            plan=plan,
            consent=tuple(map(_consent, plan.operations, images)),
            pictures=tuple(image.record.path if image else "" for image in images),
            with_likely=with_likely,
            left_out=tuple(left_out),
        )
        self._drawn.pop(drawn.id, None)
        self._drawn[drawn.id] = self.newest = drawn
        for old in list(self._drawn)[:-KEPT]:
            del self._drawn[old]
        return drawn

    def get(self, id: str, version: int) -> Drawn:
        """Return a plan by its name, if it is still for the state in force.

        Raises
        ------
        AbsentError, StaleError
            If there is none, or it was drawn up for an earlier state.
        """
        drawn = self._drawn.get(id)
        if drawn is None:
            raise AbsentError("There is no such plan any more.", "Draw it up again.")
        if drawn.version != version:
            raise StaleError(
                "The scene's state changed since the plan was drawn up. Nothing was changed.",
                "Draw it up again and look at it.",
            )
        return drawn


def _consent(operation: Operation, image: ImageReading | None) -> str:
    if image is not None and image.standing == "likely":
        share = f"{100 * image.judgement.confidence:.1f} %"
        return f"{image.record.path} is only likely {image.reading} ({share})."
    if isinstance(operation, WriteScene) and operation.replaces_sha256:
        return f"{operation.target} is rewritten under its own name; the old one is kept."
    if isinstance(operation, RenameImage):
        return f"{operation.source} loses its name; who else uses it must follow."
    return ""


def _place(operation: Operation) -> str:
    if isinstance(operation, ExtractImage):
        return f"{operation.scene}#{operation.place}"
    return operation.source


def _images_by_place(plan: Plan, survey: Survey) -> dict[str, ImageReading]:
    found = {}
    for image in survey.readings.images:
        for file in image.record.files:
            found[Path(os.path.relpath(file, plan.root)).as_posix()] = image
        if image.record.embedded is not None:
            for use in image.record.uses:
                scene = Path(os.path.relpath(use.scene.path, plan.root)).as_posix()
                found[f"{scene}#{use.reference.location.place}"] = image
    return found
