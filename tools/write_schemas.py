"""Write the JSON schemas under ``docs/reference/schemas``; a built package holds them too.

Run ``python tools/write_schemas.py`` after a change to a document or to house conventions.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "docs" / "reference" / "schemas"

HEAD = """\
# JSON schemas

One schema (JSON Schema, draft 2020-12) for each document and for `primecoat.toml`.
What the fields mean is told in [formats](../formats.md).
A built package holds them in `primecoat/schemas`.
Fields may be added at any time.
Those listed keep their names and meaning within a version of the document.
All are written by `tools/write_schemas.py`.

| document | schema |
| --- | --- |
"""


def main() -> None:
    """Write all schemas, and the page that lists them."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in written().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")


def written() -> dict[str, str]:
    """Return each file's text by its name."""
    made = {f"{name}.json": json.dumps(made, indent=2) + "\n" for name, made in schemas().items()}
    rows = [f"| `{schema['title']}` | [{name}.json]({name}.json) |" for name, schema in
            schemas().items()]  # fmt: skip
    return {**made, "README.md": HEAD + "\n".join(rows) + "\n"}


def schemas() -> dict[str, dict[str, Any]]:
    """Return each schema by the name of its file, without ending."""
    sys.path.insert(0, str(ROOT))
    from tools.schemas import change_documents as change
    from tools.schemas import colour_documents as colour
    from tools.schemas import render_documents as render
    from tools.schemas import scene_documents as scene
    from tools.schemas.common import COMMON
    from tools.schemas.notation import schema_of

    from primecoat.house.schema import house_schema

    defined = {**COMMON, **scene.DEFINED, **change.DEFINED, **render.DEFINED, **colour.DEFINED}
    documents = {**scene.DOCUMENTS, **change.DOCUMENTS, **render.DOCUMENTS, **colour.DOCUMENTS}
    found = {
        kind.removeprefix("primecoat.").replace("/", "."): schema_of(kind, content, defined)
        for kind, content in sorted(documents.items())
    }
    found["journal-line.1"] = schema_of("primecoat.journal-line/1", change.JOURNAL_LINE, defined)
    for part in ("required", "properties"):
        line = found["journal-line.1"][part]
        line.remove("document") if isinstance(line, list) else line.pop("document")
    return {**found, "primecoat.toml": house_schema()}


if __name__ == "__main__":
    main()
