"""Write what Primecoat is made with: a CycloneDX list of parts, and their licences as a table.

``python tools/write_sbom.py FOLDER [--lock requirements/runtime.txt]`` writes ``sbom.cdx.json`` and
``licences.md``. Names, versions and hashes come from the lock; licences from the metadata of the
installed packages. Nothing is fetched. It fails if a part of the lock that belongs on this machine
is not installed, is installed in another version, or says nothing of its licence.

Source: CycloneDX v1.6 JSON (ECMA-424); package URLs: purl-spec, type ``pypi``; core metadata:
PEP 639 (License-Expression) and earlier fields.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from dataclasses import dataclass
from importlib.metadata import PackageMetadata, PackageNotFoundError, metadata
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
_SHA256 = re.compile(r"--hash=sha256:([0-9a-f]{64})")
_BSD_3_CLAUSE = (
    "Redistribution and use in source and binary forms, with or without modification",
    "Neither the name of the copyright holder nor the names of its contributors",
)
"""Source: SPDX licence list, text of BSD-3-Clause."""

_CLASSIFIER = "License :: "


@dataclass(frozen=True)
class Part:
    """One package of the lock."""

    name: str
    version: str
    hashes: tuple[str, ...]
    licence: str


class SbomError(Exception):
    """The list would not be true."""


def locked(text: str) -> list[tuple[Requirement, tuple[str, ...]]]:
    """Return what a lock pins and belongs on this machine, each with the hashes of its files."""
    found = []
    for entry in text.replace("\\\n", " ").splitlines():
        words = entry.partition("#")[0].strip()
        if not words or words.startswith("-"):
            continue
        requirement = Requirement(words.partition("--hash")[0].strip())
        if requirement.marker is None or requirement.marker.evaluate():
            found.append((requirement, tuple(_SHA256.findall(words))))
    return found


def licence_of(found: PackageMetadata) -> str:
    """Return what a package says of its licence; empty if it says nothing."""
    expressions = found.get_all("License-Expression")
    if expressions:
        return str(expressions[0])
    classified = [
        value.rpartition(" :: ")[2]
        for value in found.get_all("Classifier") or ()
        if value.startswith(_CLASSIFIER) and value.count(" :: ") > 1
    ]
    if classified:
        return " AND ".join(classified)
    text = " ".join(" ".join(found.get_all("License") or ()).split())
    if all(words in text for words in _BSD_3_CLAUSE):
        return "BSD-3-Clause (by its text)"
    return text[:80]


def parts_of(lock: Path) -> list[Part]:
    """Return the parts of a lock, sorted by name.

    Raises
    ------
    SbomError
        If one is not installed as it is pinned, has no hash, or says nothing of its licence.
    """
    parts = []
    for requirement, hashes in locked(lock.read_text(encoding="utf-8")):
        (pin,) = requirement.specifier
        try:
            found = metadata(requirement.name)
        except PackageNotFoundError as error:
            raise SbomError(f"{requirement.name} of {lock.name} is not installed") from error
        if found["Version"] != pin.version:
            raise SbomError(
                f"{requirement.name} is pinned to {pin.version}; {found['Version']} is installed"
            )
        licence = licence_of(found)
        if not licence or not hashes:
            raise SbomError(f"{requirement.name} has no {'hash' if licence else 'licence'}")
        name = canonicalize_name(requirement.name)
        parts.append(Part(name, pin.version, hashes, licence))
    return sorted(parts, key=lambda part: part.name)


def sbom(parts: list[Part], version: str) -> dict[str, Any]:
    """Return the CycloneDX document; the same for the same parts."""
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {
            "component": {
                "type": "application",
                "bom-ref": "primecoat",
                "name": "primecoat",
                "version": version,
                "licenses": [{"expression": "Apache-2.0"}],
            }
        },
        "components": [
            {
                "type": "library",
                "bom-ref": f"pkg:pypi/{part.name}@{part.version}",
                "name": part.name,
                "version": part.version,
                "purl": f"pkg:pypi/{part.name}@{part.version}",
                "licenses": [{"license": {"name": part.licence}}],
                "properties": [{"name": "pinned:sha256", "value": value} for value in part.hashes],
            }
            for part in parts
        ],
        "dependencies": [
            {
                "ref": "primecoat",
                "dependsOn": [f"pkg:pypi/{part.name}@{part.version}" for part in parts],
            }
        ],
    }


def table(parts: list[Part]) -> str:
    """Return the licences as a Markdown table."""
    rows = [f"| {part.name} | {part.version} | {part.licence} |" for part in parts]
    return "\n".join(["| package | version | licence |", "| --- | --- | --- |", *rows]) + "\n"


def main() -> int:
    """Write both files."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--lock", type=Path, default=ROOT / "requirements" / "runtime.txt")
    asked = parser.parse_args()
    try:
        parts = parts_of(asked.lock)
    except SbomError as error:
        print(f"The list of parts would not be true: {error}.", file=sys.stderr)
        return 1
    text = (ROOT / "src" / "primecoat" / "version.py").read_text(encoding="utf-8")
    version = re.findall(r'"([^"]+)"', text)[-1]
    asked.folder.mkdir(parents=True, exist_ok=True)
    document = json.dumps(sbom(parts, version), indent=2) + "\n"
    (asked.folder / "sbom.cdx.json").write_text(document, encoding="utf-8")
    (asked.folder / "licences.md").write_text(table(parts), encoding="utf-8")
    print(f"{len(parts)} parts, {len({part.licence for part in parts})} licences: {asked.folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
