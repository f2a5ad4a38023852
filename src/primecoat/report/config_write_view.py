"""A config that was written, for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.config.old_view import old_view_name
from primecoat.config.write import WrittenConfig
from primecoat.location import counted, printable


def config_write_view(written: WrittenConfig) -> RenderableType:
    """Return what was written: from what, how names are read, what was added, what was proven."""
    content = written.content
    added = [space.reading for space in content.spaces if space.added]
    rows = {
        "made from": content.base,
        "loads in": f"OpenColorIO {'.'.join(map(str, content.version))} and later",
        "working space": content.working,
        "file rules": f"{len(content.rules)}, one for each reading that a name can carry",
        "without a token": f"{content.default}, numbers untouched",
        "spaces added": ", ".join(added) or "none",
    }
    if content.made_in is not None:
        rows["old view"] = printable(old_view_name(content.old_look, content.made_in))
    if content.look is not None:
        rows["look"] = printable(content.look.title)
    if written.beside:
        rows["beside it"] = ", ".join(printable(path.name) for path in written.beside)
    table = Table(box=None, pad_edge=False, show_edge=False, show_header=False)
    table.add_column(no_wrap=True)
    table.add_column()
    for name, value in rows.items():
        table.add_row(name, Text(value))
    done = "Replaced" if written.replaced else "Wrote"
    return Group(
        Text(f"{done} {printable(str(written.path))}"),
        table,
        Text(
            f"Read back with OpenColorIO {written.library}: it says what it was to say, and "
            f"{counted(written.processors, 'processor')} built."
        ),
    )
