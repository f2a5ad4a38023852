"""One function a verb, for terminal, page and scripts alike; returns frozen values, prints nothing.

A survey of many or large pictures measures them in spawned worker processes; a script that calls
it needs the usual ``if __name__ == "__main__":`` guard.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.apply import execute
from primecoat.apply.execute import Done, Progress
from primecoat.apply.journal import Run, cut_torn_line, read_runs, root_of, standing_steps
from primecoat.apply.recover import Recovered
from primecoat.apply.recover import recover as recover_folder
from primecoat.apply.undo import Undone, undo_run
from primecoat.checks import run_checks
from primecoat.checks.survey import Survey
from primecoat.colour.ids import READINGS, reading_named
from primecoat.colour.ocio import DEFAULT_DISPLAY, config_name, space_in_config
from primecoat.colour.picked import parse_triple
from primecoat.colour.swatch import Swatch, swatch_of
from primecoat.colour.white_balance import MovedGains, move_gains
from primecoat.demo import write_demo
from primecoat.errors import InputError, RefusedError, UseError
from primecoat.files import folder_lock
from primecoat.findings import Finding
from primecoat.inventory import take_inventory
from primecoat.location import printable
from primecoat.plan.build import build_plan, is_superseded
from primecoat.plan.explicit import left_to_guess, value_left_to_guess
from primecoat.plan.operations import from_document
from primecoat.plan.plan import ROUTES, Held, Plan, Route, load_plan
from primecoat.reading.decisions import Decision, record_decision
from primecoat.reading.evidence import WITNESSES
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import read_all
from primecoat.report.html import report_page
from primecoat.report.settings import settings_sheet
from primecoat.report.settings_html import settings_page
from primecoat.scenes.collector import collector_at_rest
from primecoat.scenes.folders import Folders
from primecoat.scenes.registry import FORMATS, SUFFIXES
from primecoat.scenes.resolve import resolve

DEFAULT_TO = "lin_ap1_scene"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate:
    """Whether a scene may pass: nothing in it is left to a guess, and no finding is an error.

    Parameters
    ----------
    explicit
        Number of images and colours that are explicit.
    left
        What is left to a guess, and why.
    """

    survey: Survey
    explicit: int
    left: tuple[Held, ...]
    findings: tuple[Finding, ...]

    @property
    def open(self) -> bool:
        """Whether the scene passes."""
        return not self.left and all(f.severity != "error" for f in self.findings)


def demo(folder: Path, *, clean: bool = False) -> tuple[Path, ...]:
    """Write the demo scene, or its faultless twin, into an empty or new folder."""
    return write_demo(folder, clean=clean)


def survey(
    target: Path | str,
    *,
    roots: Sequence[Path] = (),
    from_space: str | None = None,
    to_space: str = DEFAULT_TO,
    config: str | None = None,
    without: Sequence[str] = (),
    verify: bool = False,
    progress: Progress | None = None,
    workers: int | None = None,
) -> Survey:
    """Read a scene file or a folder: how each image and colour must be read, and what is wrong.

    Parameters
    ----------
    target
        Scene file or folder.
    roots
        Folders the scene may reach.
    from_space, to_space
        Working space the scene was made in, and the one it moves to.
    config
        OpenColorIO config; by default ``$OCIO``, else the pinned built-in one.
    without
        Witnesses to leave unheard.
    verify
        Hash every file again.
    progress
        Told how many of how many pictures are measured.
    workers
        Processes to measure with.

    Raises
    ------
    UseError, InputError
        If the target cannot be read or an argument names nothing.
    """
    unheard = frozenset(without)
    if unheard - set(WITNESSES):
        raise UseError(
            f"There is no witness {', '.join(sorted(unheard - set(WITNESSES)))}.",
            f"Use one of: {', '.join(WITNESSES)}.",
        )
    used_config = config_name(config)
    made_in = _space(from_space, used_config) if from_space else None
    goes_to = _space(to_space, used_config)
    with collector_at_rest():
        inventory = take_inventory(
            Path(target), roots=roots, verify=verify, progress=progress, workers=workers
        )
        readings = read_all(
            inventory, from_space=made_in, to_space=goes_to, config=used_config, without=unheard
        )
        return Survey(readings=readings, findings=run_checks(readings))


def why(survey: Survey, image: str) -> ImageReading:
    """Return what a survey knows of one image.

    Raises
    ------
    UseError
        If the survey has no such image.
    """
    return _find(survey, image)


def scenes_using(image: Path) -> tuple[Path, ...]:
    """Return the scene files in an image's folder, and in the one above, that use the image."""
    image = Path(os.path.abspath(image))
    folders = Folders()
    found = []
    for place in (image.parent, image.parent.parent):
        for path in sorted(p for p in place.glob("*.*") if p.suffix.lower() in SUFFIXES):
            try:
                scene = FORMATS[SUFFIXES[path.suffix.lower()]].read(path, path.name)
            except InputError:
                continue
            texts = [r for r in scene.references if r.embedded is None]
            if any(
                image in resolve(r.text, place, (place,), r.text, r.location, folders).files
                for r in texts
            ):
                found.append(path)
    return tuple(found)


def decide(survey: Survey, image: str, reading: str, *, because: str = "") -> Decision | None:
    """Record a person's word on one image; ``unknown`` takes it back.

    Returns
    -------
    Decision or None
        What was recorded; None if an earlier word was taken back.
    """
    home = survey.readings.inventory.home
    path = _find(survey, image).record.path
    with folder_lock(home, "decide"):
        return record_decision(home, path, reading, because)


def plan(survey: Survey, route: str, *, in_place: bool = False, with_likely: bool = False) -> Plan:
    """Draw up the plan that makes a scene explicit; changes nothing.

    Parameters
    ----------
    survey
        A survey made with ``verify=True``.
    route
        ``tag``, ``declare`` or ``bake``.
    in_place
        Rename and rewrite instead of adding names and a scene beside the old one.
    with_likely
        Act on likely readings too.
    """
    if route not in ROUTES:
        raise UseError(f"There is no route {route!r}.", f"Use one of: {', '.join(ROUTES)}.")
    chosen: Route = route
    inventory = survey.readings.inventory
    made, superseded = _history(inventory.home, inventory.roots[0], inventory.target.is_dir())
    return build_plan(
        survey.readings,
        chosen,
        in_place=in_place,
        with_likely=with_likely,
        made=made,
        superseded=superseded,
    )


def apply(plan: Plan | Path, *, progress: Progress | None = None) -> tuple[Done, ...]:
    """Carry out a plan, or the plan in a file."""
    loaded = load_plan(plan) if isinstance(plan, Path) else plan
    return execute.apply_plan(loaded, progress=progress)


def undo(target: Path) -> tuple[Undone, ...]:
    """Take back the newest run that stands for a plan file, a scene (old or new) or a folder.

    Raises
    ------
    UseError
        If there is nothing to take back.
    """
    home, wanted = _home_with_run(target)
    with folder_lock(home, "undo"):
        cut_torn_line(home)
        runs = read_runs(home)
        matching = [run for run in runs if not run.undone and _touches(home, run, wanted)]
        if any(run.open and not (run.undoing and run in matching[-1:]) for run in runs):
            raise RefusedError(
                f"An earlier run in {home} was cut short.",
                "Finish it or take it back first: primecoat recover TARGET [--back].",
            )
        if not matching:
            raise UseError(f"There is nothing to take back for {target}.", "Check the name.")
        return undo_run(home, matching[-1])


def recover(target: Path, *, back: bool = False) -> Recovered:
    """Finish what a crash cut short in a scene's folder, or take it back."""
    return recover_folder(_home(target)[0], back=back)


def gate(survey: Survey) -> Gate:
    """Say whether everything in a scene is explicit.

    In a folder, originals that the journal says are superseded do not count.

    Parameters
    ----------
    survey
        A survey made with ``verify=True``.
    """
    readings = survey.readings
    inventory = readings.inventory
    _, superseded = _history(inventory.home, inventory.roots[0], inventory.target.is_dir())
    root = inventory.roots[0]
    images = [i for i in readings.images if not is_superseded(i.record, root, superseded)]
    values = [v for v in (*readings.colours, *readings.lights) if v.scene.name not in superseded]
    left = [left_to_guess(i) for i in images] + [value_left_to_guess(v) for v in values]
    missing = tuple(held for held in left if held is not None)
    gone = superseded | {i.record.path for i in readings.images} - {i.record.path for i in images}
    counted = tuple(
        f
        for f in survey.findings
        if f.where not in gone and not (f.location and f.location.file in gone)
    )
    return Gate(survey=survey, explicit=len(left) - len(missing), left=missing, findings=counted)


def report(survey: Survey) -> str:
    """Return one self-contained HTML page about a survey."""
    inventory = survey.readings.inventory
    _, superseded = _history(inventory.home, inventory.roots[0], inventory.target.is_dir())
    return report_page(survey, superseded=superseded)


def sheet(survey: Survey, *, html: bool = False) -> str:
    """Return the settings to enter by hand: CSV in the scene sheet's form, or HTML."""
    return settings_page(survey) if html else settings_sheet(survey)


def swatch(
    colour: str,
    *,
    space: str | None = None,
    to_space: str = DEFAULT_TO,
    config: str | None = None,
    through: str | None = None,
    against: str | None = None,
    display: str = DEFAULT_DISPLAY,
) -> Swatch:
    """Say one colour in every space; see :func:`primecoat.colour.swatch.swatch_of`."""
    used = config_name(config)
    working = _space(to_space, used)
    view = {"through": through, "against": against}
    return swatch_of(colour, space, working=working, config=used, display=display, **view)


def gains(
    numbers: str, *, from_space: str, to_space: str = DEFAULT_TO, config: str | None = None
) -> MovedGains:
    """Say white-balance gains, three numbers with commas, in another working space."""
    used = config_name(config)
    source, target = _space(from_space, used), _space(to_space, used)
    return move_gains(parse_triple(numbers), source, target, config=used)


def _space(name: str, config: str) -> str:
    """Return the Color Interop ID of a working space, known to the vocabulary and the config."""
    named = reading_named(name)
    if named is None or named == "data":
        spaces = ", ".join(r for r in READINGS if r.startswith("lin_"))
        raise UseError(f"There is no colour space {name!r}.", f"Use one of: {spaces}.")
    space_in_config(named, config)
    return named


def _find(survey: Survey, image: str) -> ImageReading:
    wanted = image.replace("\\", "/").removeprefix("./")
    images = survey.readings.images
    root = survey.readings.inventory.roots[0]
    inside = Path(os.path.abspath(image))
    also = inside.relative_to(root).as_posix() if inside.is_relative_to(root) else wanted
    for candidates in (
        [i for i in images if i.record.path in (wanted, also)],
        [i for i in images if printable(i.record.path) == wanted],
        [
            i
            for i in images
            if i.record.name == wanted
            or inside in i.record.files
            or wanted in [f.name for f in i.record.files]
        ],
    ):
        if len(candidates) == 1:
            return candidates[0]
        if candidates:
            paths = ", ".join(i.record.path for i in candidates)
            raise UseError(f"{image} can be several images: {paths}.", "Give the whole path.")
    raise UseError(
        f"The survey knows no image {image}.",
        "See the paths in 'primecoat survey TARGET'.",
    )


def _home(target: Path) -> tuple[Path, Path]:
    """Return the folder of a target's journal, and the file or folder that is meant."""
    target = Path(os.path.abspath(target))
    if not target.exists() and not target.parent.is_dir():
        raise UseError(f"There is no file or folder {target}.", "Check the name.")
    if target.suffix.lower() == ".json" and target.is_file():
        loaded = load_plan(target)
        return loaded.home, loaded.target
    return (target, target) if target.is_dir() else (target.parent, target)


def _home_with_run(target: Path) -> tuple[Path, Path]:
    """Return the folder whose journal holds a run for a target: its own, or one above it."""
    home, wanted = _home(target)
    for folder in (home, *home.parents):
        if any(not run.undone and _touches(folder, run, wanted) for run in read_runs(folder)):
            return folder, wanted
    return home, wanted


def _touches(home: Path, run: Run, wanted: Path) -> bool:
    root = root_of(home, run)
    if wanted in (home, Path(os.path.normpath(home / run.target))):
        return True
    for step in run.steps:
        document = step.operation
        if wanted in (root / document["target"], root / document.get("source", "")):
            return True
    return False


def _history(home: Path, root: Path, is_folder: bool) -> tuple[dict[str, str], frozenset[str]]:
    """Return files that standing runs made (path to hash), and what those superseded.

    Only for a folder do superseded originals stop counting; a scene counts as it is.
    """
    made: dict[str, str] = {}
    superseded: set[str] = set()
    for run, step in standing_steps(read_runs(home)):
        base = root_of(home, run)
        operation = from_document(step.operation)
        target = Path(os.path.relpath(base / operation.target, root)).as_posix()
        made[target] = step.after
        source = step.operation.get("source")
        replaced = source is not None and source != operation.target
        if replaced and (base / operation.target).exists():
            superseded.add(Path(os.path.relpath(base / str(source), root)).as_posix())
    return made, frozenset(superseded if is_folder else ())
