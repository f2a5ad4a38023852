"""Operations: each one change, fully said before it is done, with its reverse.

Paths are relative to the plan's root, ``/`` separators. Hashes are SHA-256 in hexadecimal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal, assert_never, get_args

from primecoat.colour.ids import DATA, SPACES
from primecoat.errors import InputError, UseError
from primecoat.location import counted, printable
from primecoat.plan.recipe import USUAL, storage_from_text
from primecoat.scenes.model import Edit

LevelsOf = Literal["data", "normal", "signed normal"]
"""What numbers smaller levels are made of: plain figures; unit vectors stored as 0 to 1; unit
vectors as they are."""

LEVELS_OF: Final = get_args(LevelsOf)


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkImage:
    """Give an image a second name that carries its token; the first name stays."""

    source: str
    target: str
    sha256: str
    reading: str

    def reverse(self) -> RemoveCreated:
        """Return the removal of the second name."""
        return RemoveCreated(target=self.target, sha256=self.sha256, source=self.source)


@dataclass(frozen=True, slots=True, kw_only=True)
class RenameImage:
    """Give an image another name."""

    source: str
    target: str
    sha256: str
    reading: str

    def reverse(self) -> RenameImage:
        """Return the renaming back."""
        return RenameImage(
            source=self.target, target=self.source, sha256=self.sha256, reading=self.reading
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtractImage:
    """Write a picture that stands inside a scene file as a file of its own."""

    scene: str
    place: str
    target: str
    sha256: str
    reading: str

    def reverse(self) -> RemoveCreated:
        """Return the removal of the extracted file."""
        return RemoveCreated(target=self.target, sha256=self.sha256, source=self.scene)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerReading:
    """Reading of one colour layer beside the first.

    Parameters
    ----------
    part
        Number of the part it stands in, from 0.
    layer
        Its name; empty for the layer without one.
    reading
        How its numbers must be understood.
    """

    part: int
    layer: str
    reading: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeImage:
    """Write a picture's colour, converted, into a new file; the original stays.

    Parameters
    ----------
    storage
        How it is stored, as :meth:`primecoat.plan.recipe.Storage.as_text` says it.
    layers
        Readings of the colour layers beside the first, for which ``reading`` is; layers that
        are not named are carried as they are.
    display, view
        The view that a picture ready for a display is taken back through; empty for none.
    levels_of
        For a data picture, whose smaller levels alone are made anew: what its numbers are.
        Empty for a colour picture.
    """

    source: str
    target: str
    source_sha256: str
    reading: str
    to_space: str
    config: str
    storage: str = USUAL.as_text()
    layers: tuple[LayerReading, ...] = ()
    display: str = ""
    view: str = ""
    levels_of: LevelsOf | Literal[""] = ""

    @property
    def against(self) -> tuple[str, str] | None:
        """Display and view, if it is taken back through one."""
        return (self.display, self.view) if self.view else None

    def reverse(self) -> RemoveCreated:
        """Return the removal of the baked file."""
        return RemoveCreated(target=self.target, sha256="", source=self.source)


@dataclass(frozen=True, slots=True, kw_only=True)
class WriteScene:
    """Write a scene file with edits: beside the old one, or over it."""

    source: str
    target: str
    source_sha256: str
    target_sha256: str
    replaces_sha256: str
    edits: tuple[Edit, ...]

    def reverse(self) -> RemoveCreated | RestoreFile:
        """Return the removal of the new file, or the return of the one it replaced."""
        if self.replaces_sha256:
            return RestoreFile(
                target=self.target, sha256=self.target_sha256, before_sha256=self.replaces_sha256
            )
        return RemoveCreated(target=self.target, sha256=self.target_sha256, source=self.source)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveCreated:
    """Remove a file that was created, if it is still the same one.

    ``source`` names the original, which must still be there.
    """

    target: str
    sha256: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RestoreFile:
    """Put back the bytes that a file had before."""

    target: str
    sha256: str
    before_sha256: str


Operation = LinkImage | RenameImage | ExtractImage | BakeImage | WriteScene

KINDS: dict[str, type[Operation]] = {
    "link_image": LinkImage,
    "rename_image": RenameImage,
    "extract_image": ExtractImage,
    "bake_image": BakeImage,
    "write_scene": WriteScene,
}
"""Every kind of operation by the word for it in documents."""
_NAMES = {kind: name for name, kind in KINDS.items()}


def as_document(operation: Operation) -> dict[str, Any]:
    """Return an operation as it stands in a plan or a journal.

    Examples
    --------
    >>> op = LinkImage(source="a.png", target="a_data.png", sha256="00", reading="data")
    >>> as_document(op)["do"]
    'link_image'
    """
    return {"do": _NAMES[type(operation)], **asdict(operation)}


def from_document(document: Mapping[str, Any]) -> Operation:
    """Return the operation in a document.

    Raises
    ------
    InputError
        If it is no operation that this version knows.
    """
    try:
        fields = dict(document)
        kind = KINDS[fields.pop("do")]
        edits = tuple(Edit(**edit) for edit in fields.pop("edits", ()))
        layers = tuple(LayerReading(**layer) for layer in fields.pop("layers", ()))
        texts = [
            *fields.values(),
            *(text for edit in edits for text in asdict(edit).values()),
            *(text for layer in layers for text in (layer.layer, layer.reading)),
        ]
        operation: Operation
        if kind is WriteScene:
            operation = WriteScene(**fields, edits=edits)
        elif kind is BakeImage:
            operation = BakeImage(**fields, layers=layers)
            _expect_sense(operation)
        else:
            operation = kind(**fields)
    except (KeyError, TypeError, ValueError, AttributeError, UseError) as error:
        raise InputError(
            f"The plan holds an operation that cannot be understood ({printable(str(error))}).",
            "Make a new plan with this version of primecoat.",
        ) from error
    whole = all(isinstance(layer.part, int) for layer in layers)
    if not (whole and all(isinstance(text, str) for text in texts)):
        raise InputError("The plan holds an operation with a wrong type.", "Make a new plan.")
    return operation


def _expect_sense(operation: BakeImage) -> None:
    """Refuse a bake that says two things at once, as only an edited plan does."""
    ending = storage_from_text(operation.storage).ending
    if not operation.target.endswith(ending):
        raise ValueError(f"{operation.target} would be stored as {ending}")
    if operation.levels_of not in ("", *LEVELS_OF):
        raise ValueError(f"levels of {operation.levels_of!r}")
    wanted = {DATA} if operation.levels_of else {*SPACES}
    for space in (operation.reading, operation.to_space):
        if space not in wanted:
            what = "levels of data" if operation.levels_of else "a bake"
            raise ValueError(f"{space!r} in {what}")


def describe(operation: Operation) -> str:
    """Return one line that says what an operation does.

    Examples
    --------
    >>> describe(LinkImage(source="a.png", target="a_data.png", sha256="00", reading="data"))
    'name    a.png -> a_data.png'
    """
    match operation:
        case LinkImage(source=source, target=target):
            return f"name    {source} -> {target}"
        case RenameImage(source=source, target=target):
            return f"rename  {source} -> {target}"
        case ExtractImage(scene=scene, place=place, target=target):
            return f"extract {scene}#{place} -> {target}"
        case BakeImage(source=source, target=target, levels_of=kind) if kind:
            return f"levels  {source} -> {target} (of {kind} numbers)"
        case BakeImage(source=source, target=target, reading=reading, to_space=same) if (
            reading == same
        ):
            return f"bake    {source} -> {target} ({same}, the stated exposure divided out)"
        case BakeImage(source=source, target=target, reading=reading, to_space=to_space):
            return f"bake    {source} -> {target} ({reading} to {to_space})"
        case WriteScene(source=source, target=target, edits=edits):
            return f"scene   {source} -> {target} ({counted(len(edits), 'place')} changed)"
        case _:
            assert_never(operation)
