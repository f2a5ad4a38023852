"""A proof as facts and arrays that can be kept, and back."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.checks.survey import Survey
from primecoat.colour.ocio import check_view
from primecoat.errors import PrimecoatError
from primecoat.proof.paths.causes import Cause, Causes
from primecoat.proof.paths.certainty import Figure
from primecoat.proof.paths.grade import Grade
from primecoat.proof.paths.kept import Arrays
from primecoat.proof.paths.outcome import Proof
from primecoat.proof.paths.picture import Rendered
from primecoat.proof.paths.scenario import Unseen, misread_images, undecided
from primecoat.proof.paths.sight import Sight

_BASES = 3

NOT_OURS = (
    PrimecoatError,
    AttributeError,
    IndexError,
    KeyError,
    OverflowError,
    TypeError,
    ValueError,
)
"""What :func:`read_back` raises on facts and arrays that are not as we write them."""


def to_keep(found: Proof) -> tuple[dict[str, Any], Arrays]:
    """Return a proof as facts, fit for JSON, and arrays."""
    causes = found.causes
    facts = {
        "words": found.words,
        "notes": list(found.notes),
        "size": list(found.size),
        "sights": [_sight_facts(one) for one in found.sights],
        "samples": found.new.samples,
        "exposure": found.exposure,
        "noise": found.noise,
        "change": _facts(found.change),
        "from_spectral": {name: _facts(one) for name, one in found.from_spectral.items()},
        "farther": _facts(found.farther),
        "unseen": [[one.path, one.misread, one.why] for one in found.unseen],
        "seconds": found.seconds,
        "causes": causes
        and {
            "whole": _facts(causes.whole),
            "size": list(causes.size),
            "samples": causes.samples,
            "noise": causes.noise,
            "causes": [
                {
                    "kind": one.kind,
                    "name": one.name,
                    "images": list(one.images),
                    "firm": one.firm,
                    "alone": _facts(one.alone),
                    "last": _facts(one.last),
                    "floor": one.floor,
                }
                for one in causes.causes
            ],
        },
    }
    arrays: dict[str, NDArray[Any]] = {
        "old": found.old.batches[0],
        "new": found.new.batches[0],
        "surface": found.new.surface,
    }
    if causes is not None and causes.causes:
        arrays["maps"] = np.stack([(one.map_alone, one.map_last) for one in causes.causes])
    return facts, arrays


def read_back(
    facts: dict[str, Any],
    arrays: Arrays,
    survey: Survey,
    sights: tuple[Sight, Sight] | None = None,
) -> Proof:
    """Return the proof that facts and arrays are of.

    Parameters
    ----------
    survey
        The scene in the state that the proof is of.
    sights
        The views it was asked for; by default those that it names.

    Raises
    ------
    one of NOT_OURS
        If they are not what :func:`to_keep` gives.
    """
    height, width = (int(part) for part in facts["size"])
    config = survey.readings.config
    old_sight, new_sight = sights or tuple(_sight(one, config) for one in facts["sights"])
    old, new = (
        Rendered(
            batches=_array(arrays[name], (_BASES, height, width, 3))[None],
            surface=np.asarray(arrays["surface"], np.int32).reshape(height, width),
            samples=int(facts["samples"]),
        )
        for name in ("old", "new")
    )
    return Proof(
        words=_text(facts["words"]),
        notes=tuple(_text(note) for note in facts["notes"]),
        size=(height, width),
        sights=(old_sight, new_sight),
        old=old,
        new=new,
        exposure=_finite(facts["exposure"]),
        noise=_finite(facts["noise"]),
        change=_figure(facts["change"]),
        from_spectral={name: _figure(facts["from_spectral"][name]) for name in ("rec709", "ap1")},
        farther=_figure(facts["farther"]),
        misread=misread_images(survey),
        undecided=tuple(image.record.path for image in undecided(survey)),
        unseen=tuple(
            Unseen(path=_text(path), misread=bool(misread), why=_text(why))
            for path, misread, why in facts["unseen"]
        ),
        causes=_causes(facts["causes"], arrays),
        seconds=_finite(facts["seconds"]),
        kept=True,
    )


def _causes(facts: dict[str, Any] | None, arrays: Arrays) -> Causes | None:
    if facts is None:
        return None
    height, width = (int(part) for part in facts["size"])
    listed = facts["causes"]
    maps = _array(arrays["maps"], (len(listed), 2, height, width)) if listed else ()
    return Causes(
        whole=_figure(facts["whole"]),
        size=(height, width),
        samples=int(facts["samples"]),
        noise=_finite(facts["noise"]),
        causes=tuple(
            Cause(
                kind=one["kind"],
                name=_text(one["name"]),
                images=tuple(_text(path) for path in one["images"]),
                firm=bool(one["firm"]),
                alone=_figure(one["alone"]),
                last=_figure(one["last"]),
                map_alone=pair[0],
                map_last=pair[1],
                floor=_finite(one["floor"]),
            )
            for one, pair in zip(listed, maps, strict=True)
        ),
    )


def _sight_facts(sight: Sight) -> dict[str, Any]:
    grade = sight.grade
    return {
        "display": sight.display,
        "view": sight.view,
        "grade": grade
        and [grade.name, *map(list, (grade.slope, grade.offset, grade.power)), grade.saturation],
    }


def _sight(facts: dict[str, Any], config: str) -> Sight:
    display, view, grade = str(facts["display"]), str(facts["view"]), facts["grade"]
    check_view(display, view, config)
    if grade is None:
        return Sight(display=display, view=view, config=config)
    name, slope, offset, power, saturation = grade
    return Sight(
        display=display,
        view=view,
        config=config,
        grade=Grade(
            name=_text(name),
            slope=_three(slope),
            offset=_three(offset),
            power=_three(power),
            saturation=_finite(saturation),
        ),
    )


def _array(found: NDArray[Any], shape: tuple[int, ...]) -> NDArray[np.float32]:
    if found.shape != shape or found.dtype != np.float32:
        raise ValueError
    return found


def _finite(number: Any) -> float:
    found = float(number)
    if not math.isfinite(found):
        raise ValueError
    return found


def _text(words: Any) -> str:
    found = str(words)
    found.encode()  # half of a pair of UTF-16 cannot be told
    return found


def _three(numbers: Any) -> tuple[float, float, float]:
    red, green, blue = map(_finite, numbers)
    return red, green, blue


def _facts(one: Figure) -> list[float]:
    return [one.value, one.within]


def _figure(facts: list[float]) -> Figure:
    value, within = facts
    return Figure(value=_finite(value), within=_finite(within))
