"""A plan while it is being drawn up: collects operations, edits, what is held and findings."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from primecoat.errors import InputError, RefusedError
from primecoat.files import sha256_of, sha256_of_bytes, writable
from primecoat.findings import Finding, finding
from primecoat.plan.earlier_run import loss
from primecoat.plan.names import new_reference
from primecoat.plan.operations import Operation, WriteScene
from primecoat.plan.plan import Held
from primecoat.plan.reach import leads_out
from primecoat.plan.recipe import USUAL, Storage
from primecoat.reading.readings import Readings
from primecoat.scenes.model import Edit, ImageReference, Scene
from primecoat.scenes.registry import changed, changed_suffix

PRIMED = ".primed"
"""Put between name and ending of a scene that stands beside the old one."""

LONGEST_NAME = 255
"""Bytes that a file name may have on the common file systems (NAME_MAX)."""


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
    superseded
        Files that earlier runs replaced by others; such scenes are not edited again.
    written
        Scenes that earlier runs wrote beside the old ones: what stands at each changed place.
    storage
        How baked pictures are stored.
    with_likely
        Whether likely readings are acted on too.
    against
        Display and view that pictures ready for a display are taken back through by a bake.
    data_levels
        Slots and images of data whose smaller levels are made anew.
    """

    def __init__(
        self,
        readings: Readings,
        *,
        in_place: bool,
        made: Mapping[str, str],
        superseded: frozenset[str] = frozenset(),
        written: Mapping[str, Mapping[str, str]] | None = None,
        storage: Storage = USUAL,
        with_likely: bool = False,
        against: tuple[str, str] | None = None,
        data_levels: frozenset[str] = frozenset(),
    ) -> None:
        self.readings = readings
        self.storage = storage
        self.with_likely = with_likely
        self.against = against
        self.data_levels = data_levels
        self.in_place = in_place
        self.made = made
        self.superseded = superseded
        self.written = written or {}
        roots = readings.inventory.roots
        self.root = roots[0]
        self.roots = (self.root, *(r for r in roots[1:] if not r.is_relative_to(self.root)))
        self.operations: list[Operation] = []
        self.held: list[Held] = []
        self.findings: list[Finding] = []
        self._edits: dict[str, dict[str, Edit]] = {}
        self._scenes: dict[str, Scene] = {}
        self._claimed: dict[str, str] = {}
        self._claimed_in_any_case: dict[str, str] = {}

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

    def is_free(self, target: Path, source: Path | str, sha256: str, image: str) -> bool | None:
        """Return whether a new name can be used.

        Parameters
        ----------
        target
            The name, absolute.
        source
            What would get it: a file, or words for a picture inside a scene.
        sha256
            Hash of the content that it would have.
        image
            The image as the survey names it.

        Returns
        -------
        bool or None
            True: free. False: it is planned already, or the same bytes stand there; nothing is
            to be done. None: it cannot be used; the image is held.
        """
        where = self.relative(target)
        if leads_out(self.root, where):
            self.hold(
                image,
                f"It lies outside {self.root} or is hidden there, and nothing is written there.",
                "Plan with a --root that holds the scene and all its images; give what is hidden "
                "(names that begin with a dot) another name.",
            )
            return None
        if len(os.fsencode(target.name)) > LONGEST_NAME:
            self.hold(image, f"The name {target.name} would be too long.", "Shorten its name.")
            return None
        claimed = self._claim(target, source)
        if claimed is not None:
            if claimed == _own_key(source):
                return False
            self.report(
                "wanted_name_is_taken",
                image,
                f"Two images would get the name {where}: {self._shown(claimed)} and "
                f"{self._shown(str(source))}.",
                "Rename one of the two.",
            )
            return None
        if os.path.lexists(target):
            if target.is_file() and sha256_of(target) == sha256:
                return False
            self.report(
                "wanted_name_is_taken",
                image,
                f"The name {where} is wanted, but a file with other content stands there.",
                "Move that file away, or rename the original.",
            )
            return None
        if not writable(target.parent):
            self._report_folder(target.parent)
            return None
        return True

    def locked(self, file: Path) -> str:
        """Return why a scene file cannot be rewritten under its own name; empty if it can."""
        if file.is_symlink():
            return f"{file.name} is a symbolic link."
        if not file.stat().st_mode & 0o222:
            return f"{file.name} is read-only."
        return "" if writable(file.parent) else f"Nothing can be written in {file.parent}."

    def redirect(self, scene: Scene, reference: ImageReference, target: Path) -> None:
        """Make a reference in a scene lead to another file."""
        if reference.location.file != scene.name:
            self.hold(
                scene.name,
                f"{reference.text} stands in {reference.location.file}, which it includes.",
                f"Plan for {reference.location.file} itself.",
            )
            return
        text = new_reference(scene, reference, target)
        self.edit(scene, reference.location.place, reference.written, text)

    def edit(
        self, scene: Scene, place: str, before: str, after: str, *, again: bool = False
    ) -> None:
        """Add one edit of a scene file, unless an earlier run put another in its place.

        ``again`` writes also what stands there already, for what has to agree with it.
        """
        if (before == after and not again) or self.relative(scene.path) in self.superseded:
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
            raise InputError(
                f"Cannot read {scene.path}: {error.strerror}.", "Check the name and its rights."
            ) from error
        target = scene.path if self.in_place else self._primed(scene.path)
        try:
            new = changed(scene.path, edits, target, self.roots)
        except RefusedError as error:
            self.report("route_is_not_open_here", scene.name, error.message, error.remedy)
            return
        locked = self.locked(scene.path) if target == scene.path else ""
        if locked:
            self.report("folder_is_not_writable", scene.name, locked, "Leave out --in-place.")
            return
        replaces = ""
        if os.path.lexists(target):
            plain = target.is_file() and not target.is_symlink()
            if plain and target.read_bytes() == new:
                return
            replaces = sha256_of(target) if plain else ""
            ours = plain and self.made.get(self.relative(target)) == replaces
            if target != scene.path and not ours:
                self.report(
                    "wanted_name_is_taken",
                    self.relative(target),
                    f"{target.name} stands already and primecoat did not write it as it is now.",
                    "Move it away, then plan again.",
                )
                return
            standing = self.written.get(self.relative(target), {})
            primed = self.readings.again.on(target)
            lost = loss(scene.path, primed, standing, edits) if target != scene.path else None
            if lost:
                self.operations.clear()  # new names that no scene would use
                self.report("wanted_name_is_taken", self.relative(target), *lost)
                return
        if not writable(target.parent):
            self._report_folder(target.parent)
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

    def _claim(self, target: Path, source: Path | str) -> str | None:
        """Claim a new name; return who has it already, in any case of letters, or None.

        Two files whose own names differ only in case may go on doing so.
        """
        name, own = str(target.parent.resolve() / target.name), _own_key(source)
        if name in self._claimed:
            return self._claimed[name]
        self._claimed[name] = own
        holder = self._claimed_in_any_case.setdefault(name.lower(), own)
        return None if holder.lower() == own.lower() else holder

    def _shown(self, source: str) -> str:
        return self.relative(Path(source)) if Path(source).is_absolute() else source

    def _report_folder(self, folder: Path) -> None:
        self.report(
            "folder_is_not_writable",
            self.relative(folder),
            f"Nothing can be written in {folder}.",
            "Give yourself write rights, or work on a copy of the scene.",
        )

    def _primed(self, path: Path) -> Path:
        ours = path.stem.endswith(PRIMED) and self.relative(path) in self.made
        return path if ours else path.with_name(f"{path.stem}{PRIMED}{changed_suffix(path)}")


def _own_key(source: Path | str) -> str:
    """Return by what a claimant is known: its real path, or its words."""
    return str(source.resolve()) if isinstance(source, Path) else source
