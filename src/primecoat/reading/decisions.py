"""The person's witness: decisions kept in a readable file beside the scene."""

from __future__ import annotations

import datetime
import getpass
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from primecoat.colour.ids import READINGS, UNKNOWN, reading_named
from primecoat.documents import dumps, load
from primecoat.errors import InputError, UseError
from primecoat.files import replace_bytes, state_folder
from primecoat.reading.names import tagged_name

KIND = "primecoat.decisions/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One person's word on one image.

    Parameters
    ----------
    image
        Path of the image as the survey names it.
    reading
        A Color Interop ID or ``data``.
    because, by, when
        Reason, name and date, for those who read it later.
    """

    image: str
    reading: str
    because: str
    by: str
    when: str


def covers(decision: Decision, image: str) -> bool:
    """Whether a decision is about an image: by its path, or by the name that tagging gives it.

    A person's word on ``bowl.png`` holds for ``bowl_data.png`` too, once it is tagged so.

    Parameters
    ----------
    image
        Path as the survey names it.
    """
    folder, slash, name = decision.image.rpartition("/")
    return image in (decision.image, f"{folder}{slash}{tagged_name(name, decision.reading)}")


def decision_on(decisions: Mapping[str, Decision], image: str) -> Decision | None:
    """Return the person's word on an image, its own before that on the name it had untagged."""
    if image in decisions:
        return decisions[image]
    return next((d for d in decisions.values() if covers(d, image)), None)


def decisions_file(home: Path) -> Path:
    """Return the file that holds the decisions for scenes in a folder."""
    return state_folder(home) / "decisions.json"


def read_decisions(home: Path) -> dict[str, Decision]:
    """Return the decisions by image; none if there is no file.

    Raises
    ------
    InputError
        If the file is damaged: a person's word is not passed over in silence.
    """
    path = decisions_file(home)
    if not path.exists():
        return {}
    document = load(path, KIND)
    try:
        decisions = [Decision(**entry) for entry in document["decisions"]]
        if not all(isinstance(word, str) for d in decisions for word in asdict(d).values()):
            raise TypeError("a decision holds something that is no text")
    except (KeyError, TypeError) as error:
        raise InputError(
            f"Cannot read the decisions in {path}: {error}.", "Mend the file, or remove it."
        ) from error
    for decision in decisions:
        if decision.reading not in READINGS:
            raise InputError(
                f"{path} gives {decision.image} the reading {decision.reading!r}, "
                "which does not exist.",
                f"Use one of: {', '.join(READINGS)}.",
            )
    return {decision.image: decision for decision in decisions}


def record_decision(home: Path, image: str, reading: str, because: str) -> Decision | None:
    """Keep a person's word; ``unknown`` takes an earlier word back.

    Parameters
    ----------
    home
        Folder beside which the state folder lies.
    image
        Path as the survey names it.
    reading
        A reading or one of its well-known names.

    Returns
    -------
    Decision or None
        The decision as kept; None if one was taken back.

    Raises
    ------
    UseError
        If there is no such reading.
    """
    decisions = read_decisions(home)
    named = UNKNOWN if reading == UNKNOWN else reading_named(reading)
    if named is None:
        raise UseError(
            f"There is no reading {reading!r}.", f"Use one of: {', '.join((*READINGS, UNKNOWN))}."
        )
    decision = None
    if named == UNKNOWN:
        for covering in [d.image for d in decisions.values() if covers(d, image)]:
            del decisions[covering]
    else:
        today = datetime.datetime.now(datetime.UTC).date().isoformat()
        decision = Decision(image=image, reading=named, because=because, by=_user(), when=today)
        decisions[image] = decision
    document = {"document": KIND, "decisions": [asdict(d) for _, d in sorted(decisions.items())]}
    state_folder(home, create=True)
    replace_bytes(decisions_file(home), dumps(document).encode())
    return decision


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""
