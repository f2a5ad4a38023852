"""The person's witness: decisions kept in a readable file beside the scene."""

from __future__ import annotations

import datetime
import getpass
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.ids import READINGS, UNKNOWN, names_near, reading_named
from primecoat.documents import dumps, load_state
from primecoat.errors import InputError, RefusedError, UseError
from primecoat.files import replace_bytes, state_folder
from primecoat.location import printable
from primecoat.reading.names import tagged_name

KIND = "primecoat.decisions/1"

KEPT_STEPS = 200
"""How many steps can be taken back; older ones stand."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One act of a person: the decisions that it touched, as they were and as it left them."""

    before: tuple[tuple[str, Decision | None], ...]
    after: tuple[tuple[str, Decision | None], ...]


def _tagged(decision: Decision) -> str:
    folder, slash, name = decision.image.rpartition("/")
    return f"{folder}{slash}{tagged_name(name, decision.reading)}"


class Spoken:
    """The person's word on images, found at once among many.

    A word on ``bowl.png`` holds for ``bowl_data.png`` too, the name that tagging gives it.

    Parameters
    ----------
    decisions
        By image, as :func:`read_decisions` gives them.

    Examples
    --------
    >>> word = Decision(image="bowl.png", reading="data", because="", by="", when="")
    >>> spoken = Spoken({"bowl.png": word})
    >>> spoken.on("bowl_data.png") is word, spoken.on("cup.png")
    (True, None)
    """

    def __init__(self, decisions: Mapping[str, Decision]) -> None:
        self._own = decisions
        self._tagged: dict[str, Decision] = {}
        for decision in decisions.values():
            self._tagged.setdefault(_tagged(decision), decision)

    def on(self, image: str) -> Decision | None:
        """Return the word on an image, its own before that on the name it had untagged."""
        return self._own.get(image) or self._tagged.get(image)


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
    document = load_state(path, KIND)
    if document is None:
        return {}
    try:
        decisions = [Decision(**entry) for entry in document["decisions"]]
        _expect_texts(decisions)
    except (KeyError, TypeError, ValueError) as error:
        raise InputError(
            f"Cannot read the decisions in {path}: {printable(str(error))}.",
            "Mend the file, or remove it.",
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
    """Keep a person's word on one image; see :func:`record_decisions`.

    Returns
    -------
    Decision or None
        The decision as kept; None if one was taken back.
    """
    return record_decisions(home, [image], reading, because).get(image)


def record_decisions(
    home: Path, images: Sequence[str], reading: str, because: str
) -> dict[str, Decision]:
    """Keep a person's word on some images as one step; ``unknown`` takes an earlier word back.

    Parameters
    ----------
    home
        Folder beside which the state folder lies.
    images
        Paths of images as the survey names them.
    reading
        A reading or one of its well-known names.

    Returns
    -------
    dict
        The decisions as kept, by image; none if words were taken back.

    Raises
    ------
    UseError
        If there is no such reading.
    """
    before = read_decisions(home)
    steps = read_steps(home)
    named = UNKNOWN if reading == UNKNOWN else reading_named(reading)
    if named is None:
        near = names_near(reading)
        raise UseError(
            f"There is no reading {reading!r}.",
            (f"Did you mean {' or '.join(near)}? " if near else "")
            + f"Use one of: {', '.join((*READINGS, UNKNOWN))}.",
        )
    after = dict(before)
    when = today()
    by = user_name()
    covering_of = _covering(before) if named == UNKNOWN else {}
    for image in dict.fromkeys(images):
        if named != UNKNOWN:
            after[image] = Decision(image=image, reading=named, because=because, by=by, when=when)
            continue
        for covering in covering_of.get(image, ()):
            after.pop(covering, None)
    touched = [image for image in {**before, **after} if before.get(image) != after.get(image)]
    if touched:
        step = Step(
            before=tuple((image, before.get(image)) for image in touched),
            after=tuple((image, after.get(image)) for image in touched),
        )
        _write(home, after, (*steps, step)[-KEPT_STEPS:])
    return {image: after[image] for image in images if image in after} if named != UNKNOWN else {}


def _covering(decisions: Mapping[str, Decision]) -> dict[str, list[str]]:
    """Return, for each path that decisions cover, the images that they were made on."""
    found: dict[str, list[str]] = {}
    for decision in decisions.values():
        for path in {decision.image, _tagged(decision)}:
            found.setdefault(path, []).append(decision.image)
    return found


def take_back_step(home: Path) -> Step | None:
    """Put everything back as it was before the newest step; None if no step is kept.

    Raises
    ------
    RefusedError
        If the decisions of that step were changed since by other means.
    """
    decisions, steps = read_decisions(home), read_steps(home)
    if not steps:
        return None
    step = steps[-1]
    for image, decision in step.after:
        if decisions.get(image) != decision:
            raise RefusedError(
                f"The decision on {image} was changed since by other means; nothing was changed.",
                "Decide anew what it is.",
            )
    for image, earlier in step.before:
        if earlier is None:
            del decisions[image]
        else:
            decisions[image] = earlier
    _write(home, decisions, steps[:-1])
    return step


def read_steps(home: Path) -> tuple[Step, ...]:
    """Return the steps by which the decisions came about, as far as they are kept, oldest first.

    Raises
    ------
    InputError
        If the file is damaged.
    """
    path = decisions_file(home)
    document = load_state(path, KIND)
    if document is None:
        return ()
    try:
        steps = tuple(
            Step(before=_side(entry["before"]), after=_side(entry["after"]))
            for entry in document.get("steps", ())
        )
        _expect_texts(d for step in steps for _, d in (*step.before, *step.after) if d)
        return steps
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise InputError(
            f"Cannot read the steps in {path}: {printable(str(error))}.",
            "Mend the file, or remove its steps.",
        ) from error


def _expect_texts(decisions: Iterable[Decision]) -> None:
    """Refuse what is no text, or one that no file can hold: half of a pair of UTF-16."""
    for decision in decisions:
        for word in _fields(decision).values():
            if not isinstance(word, str):
                raise TypeError("a decision holds something that is no text")
            word.encode()


def _side(entries: Mapping[str, dict[str, str] | None]) -> tuple[tuple[str, Decision | None], ...]:
    return tuple(
        (image, None if words is None else Decision(image=image, **words))
        for image, words in entries.items()
    )


def _write(home: Path, decisions: Mapping[str, Decision], steps: Sequence[Step]) -> None:
    document = {
        "document": KIND,
        "decisions": [_fields(d) for _, d in sorted(decisions.items())],
        "steps": [{"before": _words(s.before), "after": _words(s.after)} for s in steps],
    }
    state_folder(home, create=True)
    replace_bytes(decisions_file(home), dumps(document).encode())


def _fields(decision: Decision) -> dict[str, str]:
    """Return what a decision holds; there can be many thousands, which ``asdict`` would copy."""
    return {
        "image": decision.image,
        "reading": decision.reading,
        "because": decision.because,
        "by": decision.by,
        "when": decision.when,
    }


def _words(side: Sequence[tuple[str, Decision | None]]) -> dict[str, dict[str, str] | None]:
    def words(decision: Decision) -> dict[str, str]:
        return {key: text for key, text in _fields(decision).items() if key != "image"}

    return {image: None if decision is None else words(decision) for image, decision in side}


def today() -> str:
    """Return the date in UTC, as ISO 8601 writes it."""
    return datetime.datetime.now(datetime.UTC).date().isoformat()


def user_name() -> str:
    """Return the name that the system knows its user by; empty if it knows none."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""
