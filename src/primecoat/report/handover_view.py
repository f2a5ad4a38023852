"""What was handed over: as a document, and in words for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from primecoat.documents import Document
from primecoat.location import counted, printable
from primecoat.renders.handover.run import DOCUMENT, MANIFEST, Handover, recipe_document
from primecoat.report.survey_document import versions

_SHOWN = 20
_COUNTED = {
    "below": "below 0, stored as 0",
    "above": "above 1, stored as 1",
    "not_finite": "NaN or infinite, mended",
    "beyond_half": "beyond 65504, stored as 65504",
}


def handover_document(done: Handover) -> Document:
    """Return what was handed over as ``primecoat.handover/1``: the manifest, and this run."""
    return {
        "document": DOCUMENT,
        **versions(),
        "recipe": recipe_document(done.recipe),
        "files": list(done.entries),
        "folder": done.folder.as_posix(),
        "made": done.made,
        "kept": done.kept,
        "failed": [
            {"master": one.master.as_posix(), "reason": one.reason, "remedy": one.remedy}
            for one in done.failed
        ],
    }


def handover_view(done: Handover) -> RenderableType:
    """Return what was made, what was met, what failed, and how it was proved."""
    recipe = done.recipe
    lines = [f"{recipe.kind.name}: {recipe.kind.words}"]
    if recipe.kind.display:
        look = f", after the look {recipe.look.path.name}" if recipe.look else ""
        lines.append(f"seen through {recipe.view} on {recipe.display}{look}")
    lines.append("")
    for entry in done.entries[:_SHOWN]:
        lines.append(f"{entry['file']}")
        lines += [
            f"    {number} values {_COUNTED[name]}" for name, number in entry["counts"].items()
        ]
    if len(done.entries) > _SHOWN:
        lines.append(f"... and {len(done.entries) - _SHOWN} more")
    for one in done.failed:
        lines += [f"not made of {one.master}", f"    {one.reason}", f"    {one.remedy}"]
    lines.append("")
    kept = f", {done.kept} there already" if done.kept else ""
    failed = f", {len(done.failed)} failed" if done.failed else ""
    lines.append(f"{counted(done.made, 'file')} made{kept}{failed}.")
    proved = sorted({words for entry in done.entries for words in entry["proved"]})
    if proved:
        lines.append(f"Read back: {'; '.join(proved)}.")
    lines.append(f"Listed in {done.folder / MANIFEST}. Config {recipe.config}.")
    return Group(*(Text(printable(line)) for line in lines))
