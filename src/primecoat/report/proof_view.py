"""A proof as tables for a terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.location import counted, printable
from primecoat.proof.paths.causes import Causes
from primecoat.proof.paths.outcome import Proof
from primecoat.report.proof_words import SPACES, nearer_words, told

_MOST_UNSEEN: Final = 12


def proof_view(found: Proof, written: tuple[Path, ...] = ()) -> RenderableType:
    """Return what a switch does to a scene, how sure that is, and why."""
    height, width = found.size
    view = found.sights[1]
    lines = [
        f"{found.words}; {width} x {height}, {found.new.samples} paths a pixel, "
        f"{found.seconds:.0f} s" + (" (kept from before; --anew traces it again)" * found.kept),
        *(f"- {note}" for note in found.notes),
        "",
        "All figures: mean CIEDE2000, with 95 % certainty.",
        f"noise left in the picture    {found.noise:.2f}",
        f"old to new, through the view {told(found.change)}",
    ]
    for basis, one in found.from_spectral.items():
        lines.append(f"{SPACES[basis]:7} to spectral          {told(one)}")
    lines.append(nearer_words(found))
    parts: list[RenderableType] = [Text(printable(line)) for line in lines]
    for image in found.misread:
        for use in image.uses:
            said = "" if image.firm else ", likely"
            slot = use.scene_use.use.slot
            wrong = f"{image.path} ({slot}): read as {use.today}, is {use.judgement.reading}{said}"
            parts.append(Text(printable(f"misread  {wrong}")))
    for path in found.undecided:
        parts.append(Text(printable(f"unknown  {path}: read as today in both pictures")))
    parts += _unseen(found)
    if found.causes is not None:
        parts += [Text(""), *_causes(found.causes)]
    parts += [Text(printable(f"Written: {path.as_posix()}")) for path in written]
    parts.append(Text(f"View {view.view} on {view.display}. Config {view.config}."))
    return Group(*parts)


def _unseen(found: Proof) -> list[RenderableType]:
    """Return the images that the picture says nothing of: misread ones by name, others counted."""
    misread = [one for one in found.unseen if one.misread]
    others = len(found.unseen) - len(misread)
    lines = [
        f"not seen {one.path}: {one.why}, but it is misread today" for one in misread[:_MOST_UNSEEN]
    ]
    if len(misread) > _MOST_UNSEEN:
        lines.append(f"not seen {len(misread) - _MOST_UNSEEN} more that are misread today")
    if others:
        lines.append(f"not seen {counted(others, 'more image')}: --json lists all, and why")
    return [Text(printable(line)) for line in lines]


def _causes(found: Causes) -> list[RenderableType]:
    shown = [one for one in found.causes if one.shown]
    height, width = found.size
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column("cause", overflow="fold")
    for name in ("mended alone", "mended last", "interaction"):
        table.add_column(name, justify="right", no_wrap=True)
    for one in shown:
        table.add_row(
            printable(one.name), told(one.alone), told(one.last), f"{one.interaction:+.2f}"
        )
    parts: list[RenderableType] = [
        Text(f"Why it changes ({width} x {height}; the whole change is {told(found.whole)})")
    ]
    if shown:
        parts.append(table)
    silent = len(found.causes) - len(shown)
    if silent:
        parts.append(Text(f"{counted(silent, 'more possible cause')} without effect here."))
    return parts
