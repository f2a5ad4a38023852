"""A parsed glTF file: its lists, what stands at a path, and the problems met on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeGuard

from primecoat.findings import Finding, finding
from primecoat.location import Location


@dataclass(frozen=True, slots=True, kw_only=True)
class GltfDocument:
    """A parsed glTF.

    Parameters
    ----------
    name
        The file as shown to the user.
    folder
        Where it lies.
    root
        The JSON in it.
    binary
        The binary chunk of a GLB; empty elsewhere.
    problems
        Findings, added to while the document is read.
    """

    name: str
    folder: Path
    root: dict[str, Any]
    binary: bytes
    problems: list[Finding] = field(default_factory=list)

    def items(self, key: str) -> list[dict[str, Any]]:
        """Return a list at the root, such as ``materials``; empty if there is none."""
        return _objects(self.root.get(key))

    def extension_items(self, extension: str, key: str) -> list[dict[str, Any]]:
        """Return a list in an extension of the root; empty if there is none."""
        return _objects(as_dict(as_dict(self.root.get("extensions")).get(extension)).get(key))

    def problem(self, location: Location, words: str) -> None:
        """Add a finding on a place that cannot be understood."""
        self.problems.append(
            finding(
                "reference_in_scene_is_broken",
                self.name,
                f"At {location.place}: {words}.",
                "Export the scene again, or mend this place.",
                location,
            )
        )


def lookup(material: dict[str, Any], path: tuple[str, ...], extension: str) -> tuple[str, Any]:
    """Return pointer (inside the material) and value of a path, inside an extension or not.

    Examples
    --------
    >>> lookup({"normalTexture": {"index": 3}}, ("normalTexture", "index"), "")
    ('/normalTexture/index', 3)
    """
    full = ("extensions", extension, *path) if extension else path
    value: Any = material
    for part in full:
        value = as_dict(value).get(part)
    return "/" + "/".join(full), value


def within(index: object, items: Sequence[object]) -> TypeGuard[int]:
    """Whether a value is the number of an item."""
    return isinstance(index, int) and 0 <= index < len(items)


def as_dict(value: object) -> dict[str, Any]:
    """Return a JSON object; an empty one for anything else."""
    return value if isinstance(value, dict) else {}


def _objects(found: object) -> list[dict[str, Any]]:
    return [as_dict(item) for item in found] if isinstance(found, list) else []
