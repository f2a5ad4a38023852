"""Plan a change, carry it out, take it back, finish what was cut short."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from primecoat.apply import execute
from primecoat.apply.bakes import BakedShare
from primecoat.apply.execute import Done
from primecoat.apply.journal import Run, cut_torn_line, read_runs, root_of
from primecoat.apply.recover import Recovered
from primecoat.apply.recover import recover as recover_folder
from primecoat.apply.undo import Undone, undo_run
from primecoat.checks.survey import Survey
from primecoat.colour.ocio import display_reading
from primecoat.errors import RefusedError, UseError
from primecoat.files import folder_lock
from primecoat.jobs import Progress, Shard, Workplace
from primecoat.plan.build import build_plan
from primecoat.plan.plan import ROUTES, Plan, Route, load_plan
from primecoat.plan.recipe import USUAL, Storage, checked_storage
from primecoat.workflow.history import standing_history


def plan(
    survey: Survey,
    route: str | None = None,
    *,
    in_place: bool = False,
    with_likely: bool = False,
    leave_out: Iterable[str] = (),
    storage: Storage = USUAL,
    against: tuple[str, str] | None = None,
    data_levels: Iterable[str] = (),
) -> Plan:
    """Draw up the plan that makes a scene explicit; changes nothing.

    Parameters
    ----------
    survey
        A survey made with ``verify=True``.
    route
        ``tag``, ``declare`` or ``bake``; by default the house's, else ``tag``.
    in_place
        Rename and rewrite instead of adding names and a scene beside the old one.
    with_likely
        Act on likely readings too.
    leave_out
        Images to leave as they are, named as the survey names them.
    storage
        How baked pictures are stored.
    against
        Display and view that pictures ready for a display are taken back through by a bake.
    data_levels
        Data slots (``normal``, ``roughness``, ...) and images whose smaller levels are made anew
        by the bake route, from their whole size.
    """
    route = route or survey.readings.house.route or "tag"
    if route not in ROUTES:
        raise UseError(f"There is no route {route!r}.", f"Use one of: {', '.join(ROUTES)}.")
    chosen: Route = route
    if against is not None:
        if route != "bake":
            raise UseError("Only a bake takes pictures back through a view.", "Use --route bake.")
        display_reading(*against, survey.readings.config)
    levels = frozenset(data_levels)
    if levels and route != "bake":
        raise UseError("Only a bake makes levels anew.", "Use --route bake.")
    inventory = survey.readings.inventory
    made, superseded = standing_history(
        inventory.home, inventory.roots[0], inventory.target.is_dir()
    )
    return build_plan(
        survey.readings,
        chosen,
        in_place=in_place,
        with_likely=with_likely,
        leave_out=frozenset(leave_out),
        made=made,
        superseded=superseded,
        storage=checked_storage(storage),
        against=against,
        data_levels=levels,
    )


def apply(
    plan: Plan | Path,
    *,
    workers: int | None = None,
    cluster: str | None = None,
    baking: Progress | None = None,
    progress: Progress | None = None,
) -> tuple[Done, ...]:
    """Carry out a plan, or the plan in a file.

    Parameters
    ----------
    workers, cluster
        Number of processes to bake with, or address of a Dask scheduler (``local`` starts one);
        by default all cores where that pays.
    baking, progress
        Told what is baked, and what is carried out.

    Raises
    ------
    BakesFailedError
        If a picture could not be baked; nothing of the scene was changed then.
    RefusedError, UseError
        If the plan is not for what is there now, or the workers cannot be had.
    """
    return execute.apply_plan(
        _loaded(plan), workplace=Workplace(workers, cluster), baking=baking, progress=progress
    )


def bake_share(
    plan: Plan | Path,
    share: Shard,
    *,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
) -> BakedShare:
    """Bake a share of a plan's pictures into the store beside its scene; touch no scene.

    When all shares are done, :func:`apply` finds the bakes and does the rest.

    Parameters
    ----------
    share
        Which of the bakes.
    workers, cluster, progress
        As for :func:`apply`.
    """
    return execute.bake_share(
        _loaded(plan), share, workplace=Workplace(workers, cluster), progress=progress
    )


def _loaded(plan: Plan | Path) -> Plan:
    return load_plan(plan) if isinstance(plan, Path) else plan


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
