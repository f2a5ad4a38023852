"""Write the worked example of the README from a real run of the demo.

``python tools/write_readme_example.py [--check]``: with ``--check`` nothing is written, and the
exit code is 1 if the README does not say what the commands print.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import sys
import tempfile
from pathlib import Path

from primecoat.cli.main import run

README = Path(__file__).parents[1] / "README.md"
BEGIN, END = "<!-- worked example -->", "<!-- end of worked example -->"

STEPS = (
    ("demo tea", (r".*",)),
    (
        "survey tea/tea.gltf",
        (
            r"image  .*",
            r"textures/bowl_normal.*",
            r"textures/brass_color.*",
            r"textures/saucer_roughness.*",
            r"textures/sugar_jar_color.*",
            r"PC301.*",
            r"    It looks like a normal map.*",
            r"\d+ images:.*",
        ),
    ),
    ("why tea/textures/bowl_color.png --in tea/tea.gltf", (r".*",)),
    (
        "plan tea/tea.gltf --route tag --out plan.json",
        (r".*bowl_normal.*", r"scene .*", r"\d+ op.*"),
    ),
    ("apply plan.json", (r"\d+ operations done.*",)),
    ("gate tea/tea.primed.gltf", (r"\d+ images and colours.*", r"The gate.*")),
    ("undo plan.json", (r"\d+ operations taken back.*",)),
)
"""Commands, and patterns of the lines that are shown of what each prints."""


def main(arguments: list[str]) -> int:
    """Write or check the example; return the exit code."""
    text = README.read_text(encoding="utf-8")
    head, rest = text.split(BEGIN)
    tail = rest.split(END)[1]
    new = f"{head}{BEGIN}\n\n```console\n{example()}```\n\n{END}{tail}"
    if "--check" in arguments:
        return int(new != text)
    README.write_text(new, encoding="utf-8", newline="\n")
    return 0


def example() -> str:
    """Return commands and shown lines of a run in an empty folder."""
    parts = []
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        os.environ.pop("OCIO", None)
        for command, patterns in STEPS:
            printed = io.StringIO()
            with contextlib.redirect_stdout(printed):
                run(command.split())
            parts.append(f"$ primecoat {command}\n{shown(printed.getvalue(), patterns)}")
    return "\n".join(parts)


def shown(printed: str, patterns: tuple[str, ...]) -> str:
    """Return the lines that match a pattern; runs of others become one ellipsis."""
    lines: list[str] = []
    for line in (line.rstrip() for line in printed.strip().splitlines()):
        if any(re.fullmatch(pattern, line) for pattern in patterns):
            lines.append(line)
        elif lines[-1:] != ["…"]:
            lines.append("…")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
