"""A plan while it is being drawn up: collects operations, edits, what is held and findings."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from primecoat.errors import InputError
from primecoat.files import sha256_of, sha256_of_bytes, writable
from primecoat.findings import Finding, finding
from primecoat.inventory import SceneUse
from primecoat.plan.names import new_reference
from primecoat.plan.operations import Operation, WriteScene
from primecoat.plan.plan import Held
from primecoat.reading.readings import Readings
from primecoat.scenes.model import Edit, Scene
from primecoat.scenes.registry import FORMATS

PRIMED = ".primed"
"""Put between name and ending of a scene that stands beside the old one."""


class Draft:
    """Collects a plan.

    Parameters
    ----------
    readings
        What the plan is for.
    in_place
        Whether files keep their places and scenes their names.
    made
        Files that earlier runs made and that stand: path relative to the root, hash.
    """

    def __init__(self, readings: Readings, *, in_place: bool, made: Mapping[str, str]) -> None:
        self.readings = readings
        self.in_place = in_place
        self.made = made
        self.root = readings.inventory.roots[0]
        self.operations: list[Operation] = []
        self.held: list[Held] = []
        self.findings: list[Finding] = []
        self._edits: dict[str, dict[str, Edit]] = {}
        self._scenes: dict[str, Scene] = {}
        self._claimed: dict[Path, str] = {}

    def relative(self, path: Path) -> str:
        """Return a path as operations name it."""
        return Path(os.path.relpath(path, self.root)).as_posix()

    def hold(self, where: str, why: str, remedy: str) -> None:
        """Leave something as it is, and say why."""
        self.held.append(Held(where=where, why=why, remedy=remedy))

    def report(self, name: str, where: str, message: str, remedy: str) -> None:
        """Raise a finding and hold what it is about."""
        raised = finding(name, where, message, remedy)
        if raised not in self.findings:
            self.findings.append(raised)
        self.hold(where, message, remedy)

    def is_free(self, target: Path, source: Path | str, sha256: str) -> bool | None:
        """Return whether a new name can be used.

        Returns
        -------
        bool or None
            True: free. False: the same bytes stand there already, nothing is to be done.
            None: taken by something else, or the folder cannot be written; a finding is raised.
        """
        where = self.relative(target)
        claimant = self._claimed.setdefault(target, str(source))
        if claimant != str(source):
            self.report(
                "wanted_name_is_taken",
                where,
                f"Two images would get the name {where}: {self.relative(Path(claimant))} and "
                f"{source if isinstance(source, str) else self.relative(source)}.",
                "Rename one of the two.",
            )
            return None
        if os.path.lexists(target):
            if target.is_file() and sha256_of(target) == sha256:
                return False
            self.report(
                "wanted_name_is_taken",
                where,
                f"The name {where} is wanted, but a file with other content stands there.",
                "Move that file away, or rename the original.",
            )
            return None
        if not writable(target.parent):
            self.report(
                "folder_is_not_writable",
                self.relative(target.parent),
                f"Nothing can be written in {target.parent}.",
                "Give yourself write rights, or work on a copy of the scene.",
            )
            return None
        return True

    def redirect(self, uses: tuple[SceneUse, ...], target: Path) -> None:
        """Make every reference behind some uses lead to another file."""
        for use in uses:
            folder = (use.scene.path.parent / use.reference.text.replace("\\", "/")).parent
            text = new_reference(use, Path(os.path.abspath(folder)), target)
            before = use.reference.written
            self.edit(use.scene, use.reference.location.place, before, text)

    def edit(self, scene: Scene, place: str, before: str, after: str) -> None:
        """Add one edit of a scene file."""
        if before == after:
            return
        self._scenes[scene.name] = scene
        self._edits.setdefault(scene.name, {})[place] = Edit(
            place=place, before=before, after=after
        )

    def write_scenes(self) -> None:
        """Add the operations that write the edited scenes."""
        for name, edits in sorted(self._edits.items()):
            self._write_scene(self._scenes[name], tuple(edits.values()))

    def _write_scene(self, scene: Scene, edits: tuple[Edit, ...]) -> None:
        try:
            data = scene.path.read_bytes()
        except OSError as error:
            raise InputError(f"Cannot read {scene.path}: {error.strerror}.") from error
        new = FORMATS[scene.format].edit(data, edits)
        target = scene.path if self.in_place else self._primed(scene.path)
        replaces = ""
        if target.exists():
            if target.read_bytes() == new:
                return
            replaces = sha256_of(target)
            if target != scene.path and self.made.get(self.relative(target)) != replaces:
                self.report(
                    "wanted_name_is_taken",
                    self.relative(target),
                    f"{target.name} stands already and primecoat did not write it as it is now.",
                    "Move it away, then plan again.",
                )
                return
        if not writable(target.parent):
            self.is_free(target.with_name(".primecoat-probe"), scene.path, "")
            return
        self.operations.append(
            WriteScene(
                source=self.relative(scene.path),
                target=self.relative(target),
                source_sha256=sha256_of_bytes(data),
                target_sha256=sha256_of_bytes(new),
                replaces_sha256=replaces,
                edits=edits,
            )
        )

    def _primed(self, path: Path) -> Path:
        ours = path.stem.endswith(PRIMED) and self.relative(path) in self.made
        return path if ours else path.with_name(f"{path.stem}{PRIMED}{path.suffix}")
