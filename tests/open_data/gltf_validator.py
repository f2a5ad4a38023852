"""The public glTF validator, fetched once by the package client into the cache of the tests.

Source: the npm package ``gltf-validator`` 2.0.0-dev.3.10 of the Khronos Group, licence Apache-2.0
as its package.json states; one JavaScript module that node runs, without dependencies.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from tests.open_data.npm import Package, not_there, unpacked

VALIDATOR = Package(
    name="gltf-validator@2.0.0-dev.3.10",
    archive="gltf-validator-2.0.0-dev.3.10.tgz",
    sha256="4e03dbdc3bc0d1342afd5d2d7ae341a7e3474502ccb872b02dbbaddaee0fdec6",
)

Severity = Literal["error", "warning", "info", "hint"]
_SEVERITIES: tuple[Severity, ...] = ("error", "warning", "info", "hint")  # as the validator counts

_SCRIPT = """
const [module, scene] = process.argv.slice(2);
const fs = require("fs"), path = require("path");
const beside = (uri) => new Promise((found, missing) =>
  fs.readFile(path.join(path.dirname(scene), decodeURIComponent(uri)),
    (error, data) => error ? missing(error.code) : found(new Uint8Array(data))));
require(module)
  .validateBytes(new Uint8Array(fs.readFileSync(scene)),
    { uri: path.basename(scene), maxIssues: 0, externalResourceFunction: beside })
  .then((report) => console.log(JSON.stringify(report)));
"""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One issue that the validator has with a scene; ``pointer`` is a JSON pointer."""

    severity: Severity
    code: str
    pointer: str
    message: str


def fetched_validator() -> Path:
    """Return the folder of the validator's package; fetch it if the cache has none.

    Where it cannot be had or run, the test is skipped, and fails in CI.
    """
    if shutil.which("node") is None:
        not_there(VALIDATOR, "there is no node on this machine to run it")
    return unpacked(VALIDATOR, lambda members, folder: members.extractall(folder, filter="data"))


def complaints(validator: Path, scene: Path) -> Counter[Complaint]:
    """Return what the validator finds in a glTF or GLB and every file it names."""
    node = shutil.which("node")
    assert node is not None
    command = [node, "-", str(validator / "package" / "index.js"), str(scene)]
    ran = subprocess.run(command, input=_SCRIPT, capture_output=True, text=True, timeout=120)
    assert ran.returncode == 0, ran.stderr
    issues = json.loads(ran.stdout)["issues"]
    assert not issues["truncated"]
    return Counter(
        Complaint(_SEVERITIES[m["severity"]], m["code"], m.get("pointer", ""), m["message"])
        for m in issues["messages"]
    )
