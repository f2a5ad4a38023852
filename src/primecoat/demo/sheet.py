"""The scene sheet: what glTF cannot hold, one use a row, as CSV.

Columns: ``path`` (empty for a picked colour), ``owner``, ``slot``, ``channels``, ``space``
(the declared reading, may be empty), ``value`` (three numbers of a picked colour).
"""

from __future__ import annotations

import csv
import io
from dataclasses import astuple, dataclass, fields

from primecoat.demo.faults import LOW_RANGE


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One row of the scene sheet."""

    path: str = ""
    owner: str
    slot: str
    channels: str
    space: str = ""
    value: str = ""


def sheet_rows(clean: bool) -> tuple[SheetRow, ...]:
    """Return the rows; ``clean`` for the twin without faults."""
    linear, stored, shown, data = (
        "lin_rec709_scene",
        "srgb_rec709_scene",
        "srgb_rec709_display",
        "data",
    )
    pictures = (
        ("courtyard_environment.hdr", "sky", "environment", "rgb", linear),
        ("courtyard_environment.exr", "sky for final frames", "environment", "rgb", linear),
        ("courtyard_backplate.jpg", "camera", "backplate", "rgb", shown),
        ("oak_tray_color.<UDIM>.png", "oak tray", "base_color", "rgb", stored),
        ("plaster_color.tif", "plaster wall", "base_color", "rgb", stored),
        ("plaster_roughness.tif", "plaster wall", "roughness", "r", data),
        ("bowl_height.png", "tenmoku glaze", "height", "r", data),
        ("wall_height.png", "brick wall", "height", "r", data),
        ("bowl_mask.png", "tenmoku glaze", "mask", "r", data),
        ("cup_roughness.png", "cobalt porcelain", "roughness", "r", data),
        ("spoon_glossiness.png", "brass spoon", "glossiness", "r", data),
        ("spoon_metalness.png", "brass spoon", "metalness", "r", data),
        ("pottery_logo.png", "crate label", "other_color", "rgb", stored),
        ("pottery_logo.png", "crate label", "opacity", "a", data),
    )
    colours = (
        ("awning cloth", "base_color", stored, "0.78 0.34 0.22"),
        ("evening lamp", "light_color", linear, "1 0.62 0.31"),
    )
    panorama = SheetRow(
        path=LOW_RANGE.path(clean),
        owner="sky in the window panes",
        slot="environment",
        channels="rgb",
        space=linear if clean else "",
    )
    return (
        *(
            SheetRow(path=f"textures/{path}", owner=owner, slot=slot, channels=named, space=space)
            for path, owner, slot, named, space in pictures
        ),
        panorama,
        *(
            SheetRow(owner=owner, slot=slot, channels="rgb", space=space, value=value)
            for owner, slot, space, value in colours
        ),
    )


def sheet_text(rows: tuple[SheetRow, ...]) -> str:
    """Return the sheet as CSV text with a heading."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(field.name for field in fields(SheetRow))
    writer.writerows(astuple(row) for row in rows)
    return text.getvalue()
