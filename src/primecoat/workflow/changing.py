"""Plan a change, carry it out, take it back, finish what was cut short."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from primecoat.apply import execute
from primecoat.apply.bakes import BakedShare
from primecoat.apply.execute import Done
from primecoat.apply.journal import Run, cut_torn_line, read_runs, root_of, touches
from primecoat.apply.reach import refuse_wider
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
from primecoat.reading.asked import Again, Asked
from primecoat.workflow.history import standing_history
from primecoat.workflow.meant import Meant, meant_by


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

    Returns
    -------
    Plan
        Without operations where an earlier run wrote a scene beside this one and the plan would
        drop what it did there: plan from that scene, or take the run back first.
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
    earlier = standing_history(inventory.home, inventory.roots[0], inventory.target.is_dir())
    return build_plan(
        survey.readings,
        chosen,
        in_place=in_place,
        with_likely=with_likely,
        leave_out=frozenset(leave_out),
        made=earlier.made,
        superseded=earlier.superseded,
        written=earlier.written,
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


def undo(
    target: Path, *, roots: Sequence[Path] = (), house: Path | str | None = None
) -> tuple[Undone, ...]:
    """Take back the newest run that stands for a plan file, a scene (old or new) or a folder.

    Parameters
    ----------
    roots, house
        As for a survey. A run that was made with a root above the folder that is given, or of a
        scene file above the one that holds its own, is taken back only if a root, the house or a
        plan file says so: a journal can come with a scene from anywhere.

    Raises
    ------
    UseError
        If there is nothing to take back.
    RefusedError
        If the run reaches further, or a file has changed since.
    """
    asked = Asked(roots=tuple(roots), house=None if house is None else str(house))
    again = Again(target=Path(target), asked=asked)
    meant = meant_by(target, roots, house)
    home = _home_with_run(meant)
    with folder_lock(home, "undo"):
        cut_torn_line(home)
        runs = read_runs(home)
        matching = [run for run in runs if not run.undone and touches(home, run, meant.wanted)]
        if any(run.open and not (run.undoing and run in matching[-1:]) for run in runs):
            raise RefusedError(
                f"An earlier run in {home} was cut short.",
                "Finish it or take it back first: "
                f"{again.command('recover')}; to take it back, add --back.",
            )
        if not matching:
            raise UseError(*_nothing_left(target, meant))
        _refuse_before_later(home, matching[-1], runs, again)
        return undo_run(home, matching[-1], reach=meant.reach)


def recover(
    target: Path,
    *,
    back: bool = False,
    roots: Sequence[Path] = (),
    house: Path | str | None = None,
) -> Recovered:
    """Finish what a crash cut short in a scene's folder, or take it back.

    Parameters
    ----------
    roots, house
        As for :func:`undo`.
    """
    meant = meant_by(target, roots, house)
    return recover_folder(meant.home, reach=meant.reach, back=back)


def _refuse_before_later(home: Path, run: Run, runs: Sequence[Run], asked: Again) -> None:
    """Refuse to take a run back while a later one stands that changed its files again."""
    mine = _written(home, run)
    for later in reversed(runs[runs.index(run) + 1 :]):
        again = sorted(mine & _written(home, later))
        if again:
            raise RefusedError(
                f"A later run changed {again[0]} again, so the earlier one cannot be taken back "
                "yet.",
                f"Take the later run back first: {asked.on(again[0]).command('undo')}.",
            )


def _written(home: Path, run: Run) -> set[Path]:
    root = root_of(home, run)
    return {root / step.operation["target"] for step in run.steps if step.state == "done"}


def _nothing_left(target: Path, meant: Meant) -> tuple[str, str]:
    """Return why there is nothing to take back, and what to do: it was taken back, or never was."""
    undone = [
        run
        for folder in (meant.home, *meant.home.parents)
        for run in read_runs(folder)
        if run.undone and touches(folder, run, meant.wanted)
    ]
    if not undone:
        return f"There is nothing to take back for {target}.", "Check the name."
    on = f" on {undone[-1].undone_when}" if undone[-1].undone_when else ""
    return (
        f"There is nothing to take back for {target}: the run on it was taken back already{on}.",
        "To do it again, plan and apply.",
    )


def _home_with_run(meant: Meant) -> Path:
    """Return the folder whose journal holds a run for a target: its own, or one above it."""
    for folder in (meant.home, *meant.home.parents):
        found = [
            run
            for run in read_runs(folder)
            if not run.undone and touches(folder, run, meant.wanted)
        ]
        if found:
            refuse_wider(folder, (root_of(folder, found[-1]),), meant.reach)
            return folder
    return meant.home
