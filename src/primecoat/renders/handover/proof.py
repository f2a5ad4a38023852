"""Whether a finished file says what it holds, once and without contradiction."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ids import SPACES
from primecoat.errors import ImageError
from primecoat.images.read_header import read_header
from primecoat.renders.handover.kinds import Kind

_KINDS = {
    ".exr": {"colorInteropID"},
    ".png": {"cICP"},
    ".jpg": {"ICC profile"},
    ".tif": {"ICC profile"},
}
_STRICT = {"ACES container flag", "chromaticities"}


def refuse_wrong_label(path: Path, kind: Kind) -> None:
    """Read a finished file's statements of colour, all of them, from its bytes.

    Raises
    ------
    ImageError
        If the one that is wanted is missing or wrong, or another stands beside it.
    """
    header = read_header(path)
    allowed = _KINDS[kind.ending] | (_STRICT if kind.strict else set())
    kinds = {one.kind for one in header.statements}
    wrong = [
        one.words
        for one in header.statements
        if one.kind not in allowed or not _says(one.reading, kind.space)
    ]
    if wrong or not _KINDS[kind.ending] <= kinds:
        raise ImageError(
            f"{path.name} does not say {kind.space} truly: "
            f"{'; '.join(wrong) if wrong else 'no statement of it was found'}.",
            "This is a fault of the program; please report it.",
        )


def _says(reading: str | None, space: str) -> bool:
    """Whether a statement names primaries and curve of a space; headers know no scene or display.

    Examples
    --------
    >>> _says("srgb_rec709_scene", "srgb_rec709_display"), _says("lin_ap1_scene", "lin_ap0_scene")
    (True, False)
    """
    if reading is None or reading not in SPACES:
        return False
    one, other = SPACES[reading], SPACES[space]
    return (one.primaries, one.curve) == (other.primaries, other.curve)
