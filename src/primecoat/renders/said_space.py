"""Which space the numbers of a render are in: as a person says, else as the file states."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ids import DATA, SPACES
from primecoat.colour.ocio import load_config, space_in_config
from primecoat.config.identify import identify
from primecoat.errors import UseError
from primecoat.images.header import ImageHeader

_DISPLAY_KINDS = ("cICP", "ICC profile", "sRGB chunk", "EXIF ColorSpace")
"""Statements about what a display or a print shows; of a whole render they mean the display space
with their curve and primaries. Sources: IEC 61966-2-1 (sRGB is a display encoding), ITU-T H.273
(video), ICC.1 (image state of a display profile)."""


def said_space(
    path: Path,
    header: ImageHeader,
    part: int,
    space: str | None,
    config: str,
    option: str = "--in-a SPACE for the first picture, --in-b SPACE for the second",
) -> tuple[str, str]:
    """Return the Color Interop ID of a render's numbers, and who says so.

    Parameters
    ----------
    path, header, part
        The file, what it states, and the number of the part.
    space
        What a person says, or None.
    config
        OpenColorIO config that knows the space.
    option
        Where a person says it, for the message.

    Raises
    ------
    UseError
        If nobody says it, or it is no colour space.
    """
    if space is not None:
        reading = identify(load_config(config), space).reading
        if reading is None or reading == DATA:
            raise UseError(f"There is no colour space {space!r}.", f"Use one of: {_ids()}.")
        space_in_config(reading, config)
        return reading, "person"
    own = header.part_headers[part].statements if part < len(header.part_headers) else ()
    for statement in own or header.statements:
        if not statement.firm:
            continue
        if statement.reading is None or statement.reading == DATA:
            break
        reading = statement.reading
        if statement.kind in _DISPLAY_KINDS:
            reading = _on_display(reading)
        return reading, statement.kind
    found = "; ".join(s.words for s in own or header.statements)
    raise UseError(
        f"Nobody says which space the numbers of {path} are in"
        f"{f' ({found})' if found else ': it states none'}.",
        f"Name it: {option}, such as lin_ap1_scene or srgb_rec709_display.",
    )


def _on_display(reading: str) -> str:
    """Return the display space with the same curve and primaries, or the reading if none has."""
    own = SPACES[reading]
    for space in SPACES.values():
        if (space.curve, space.primaries, space.referred) == (own.curve, own.primaries, "display"):
            return space.id
    return reading


def _ids() -> str:
    return ", ".join(SPACES)
