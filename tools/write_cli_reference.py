"""Write ``docs/reference/cli.md`` from the help texts of the command line.

Run ``python tools/write_cli_reference.py`` after a change to a verb or an option.
The page is the same on every machine: fixed width, no colour.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "cli.md"
WIDTH = 96

HEAD = """\
# Command line

This page is written by `tools/write_cli_reference.py` from the program's own help texts.

`primecoat --install-completion` has bash, zsh, fish or PowerShell complete what you type:
verbs, options, files, and values from a list such as routes, kinds and colour spaces.
In zsh the first Tab in a new terminal only loads it.
What is read of the environment is told in [environment variables](environment.md).

## Exit codes

| code | meaning |
| --- | --- |
| 0 | done, and nothing is in the way |
| 1 | done, but not ready: errors were found, the gate is closed, some files of several failed |
| 1 | refused, because it would not be safe; nothing was changed |
| 2 | wrong use, or input that cannot be read; nothing was changed |
| 3 | a fault of the program itself; the line names a log to report it with |
| 130 | interrupted; `primecoat recover` finishes or takes back what was being applied |

What was refused or went wrong is told in one line on stderr:
what failed, on what, and what to do.
"""


def main() -> None:
    """Write the page."""
    from primecoat.cli.main import app

    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(reference(app), encoding="utf-8", newline="\n")


def reference(app: typer.Typer) -> str:
    """Return the whole page."""
    return "\n".join([HEAD, *(section(name, command) for name, command in commands(app))])


def commands(app: typer.Typer) -> Iterator[tuple[str, Any]]:
    """Yield the program and all its verbs as (words to type, command), in order of help."""
    yield from _walk("primecoat", typer.main.get_command(app))


def section(name: str, command: Any) -> str:
    """Return one heading and the help text under it."""
    context = typer.Context(
        command, info_name=name, terminal_width=WIDTH, max_content_width=WIDTH, color=False
    )
    formatter = context.make_formatter()
    command.format_usage(context, formatter)
    command.format_help_text(context, formatter)
    command.format_options(context, formatter)
    lines = (line.rstrip() for line in formatter.getvalue().strip().splitlines())
    return "\n".join([f"## `{name}`", "", "```text", *lines, "```", ""])


def _walk(name: str, command: Any) -> Iterator[tuple[str, Any]]:
    yield name, command
    for word, part in getattr(command, "commands", {}).items():
        if not part.hidden:
            yield from _walk(f"{name} {word}", part)


if __name__ == "__main__":
    main()
