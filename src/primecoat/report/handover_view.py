"""A handover as lines for a terminal."""

from __future__ import annotations

from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from primecoat.config.look_steps import made_from
from primecoat.location import counted, printable
from primecoat.renders.handover.job import Done
from primecoat.renders.handover.run import Handover

_SHOWN = 20


def handover_view(found: Handover) -> RenderableType:
    """Return what was handed over and how, what was met on the way, and what failed."""
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("file", "read back", "states"):
        table.add_column(name, overflow="fold")
    for done in found.done[:_SHOWN]:
        back = done.record.figures["read_back"]
        reader = "" if back["reader"] == "primecoat" else f" (by {back['reader']})"
        table.add_row(
            printable(done.record.output) + ("" if done.made else " (was there)"),
            f"{back['pixels']}{reader}",
            ", ".join(dict.fromkeys(label.partition(":")[0] for label in back["labels"])),
        )
    parts: list[RenderableType] = [Text(printable(_how(found)))]
    if found.done:
        parts += [Text(""), table]
    if len(found.done) > _SHOWN:
        parts.append(Text(f"... and {len(found.done) - _SHOWN} more, in the manifest"))
    notes = [note for done in found.done for note in _notes(done)]
    parts += [Text(printable(note)) for note in notes[:_SHOWN]]
    for failed in found.failed:
        parts.append(Text(printable(failed.master), style="bold"))
        parts.append(Padding(Text(printable(failed.reason)), (0, 0, 0, 4), expand=False))
        parts.append(
            Padding(Text(printable(failed.remedy), style="dim"), (0, 0, 0, 4), expand=False)
        )
    parts += [Text(""), Text(printable(_sum(found)))]
    return Group(*parts)


def _how(found: Handover) -> str:
    recipe = found.recipe
    words = f"{recipe.kind.words}: {recipe.kind.space}, {recipe.stored}"
    if not recipe.view:
        return f"{words}."
    look = f" after the {made_from(recipe.look)}" if recipe.look else ""
    return f"{words}; on {recipe.display} through {recipe.view}{look}; config {recipe.config}."


def _notes(done: Done) -> list[str]:
    """Return what a person should know of a file."""
    figures: dict[str, Any] = done.record.figures
    colour, alpha = figures["colour"], figures["alpha"]
    words = []
    if colour["below"] or colour["above"]:
        words.append(
            f"cut off at the display's limits: {colour['below']} below black, "
            f"{colour['above']} above white"
        )
    if alpha["below"] or alpha["above"]:
        words.append(f"alpha cut off: {alpha['below']} below 0, {alpha['above']} above 1")
    if colour["not_finite"] or alpha["not_finite"]:
        words.append(f"NaN or infinity replaced: {colour['not_finite'] + alpha['not_finite']}")
    if colour["beyond_half"]:
        words.append(f"clamped to 65504: {colour['beyond_half']}")
    if figures["light_without_cover"]:
        pixels = counted(figures["light_without_cover"], "pixel")
        words.append(f"light under alpha 0, which most readers drop: {pixels}")
    if figures["left_out"]:
        words.append(f"left out: {', '.join(figures['left_out'])}")
    return [f"{done.record.output}: {word}" for word in words]


def _sum(found: Handover) -> str:
    made = sum(done.made for done in found.done)
    words = f"{counted(made, 'file')} written, {len(found.done) - made} there already"
    if found.failed:
        words += f", {len(found.failed)} failed"
    return f"{words}. Listed in {found.manifest.as_posix()}."
