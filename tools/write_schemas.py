"""Write the JSON schemas under ``docs/reference/schemas`` from the code.

Run ``python tools/write_schemas.py`` after a change to a document or to house conventions.
"""

from __future__ import annotations

import json
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "docs" / "reference" / "schemas"


def main() -> None:
    """Write all schemas."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in schemas().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")


def schemas() -> dict[str, str]:
    """Return each schema's text by the name of its file."""
    from primecoat.house.schema import house_schema

    return {"primecoat.toml.json": json.dumps(house_schema(), indent=2) + "\n"}


if __name__ == "__main__":
    main()
