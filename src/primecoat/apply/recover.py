"""After a crash: finish the run that was cut short, or take it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from primecoat.apply import journal
from primecoat.apply.bakes import drop_bakes
from primecoat.apply.execute import bake_all, finish_run
from primecoat.apply.journal import (
    Run,
    cut_torn_line,
    kept_folders,
    plan_file,
    read_runs,
    root_of,
    touched_folders,
)
from primecoat.apply.reach import refuse_wider
from primecoat.apply.undo import undo_run, was_done
from primecoat.apply.verify import refuse_leading_out, verify
from primecoat.bake.store import store_of, sweep
from primecoat.documents import load_state
from primecoat.errors import RefusedError
from primecoat.files import folder_lock, sha256_of, state_folder, sweep_asides
from primecoat.location import pasteable
from primecoat.plan.operations import from_document
from primecoat.plan.plan import KIND, Plan, plan_from


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """What recovery did.

    Parameters
    ----------
    outcome
        ``nothing to do``, ``finished`` or ``taken back``.
    operations
        How many operations were carried out or taken back now.
    """

    outcome: str
    operations: int = 0


def recover(home: Path, *, reach: Sequence[Path], back: bool = False) -> Recovered:
    """Finish what a crash cut short, or take it back.

    Parameters
    ----------
    home
        Folder beside which the state folder lies.
    reach
        Folders, absolute, in which files may be changed.
    back
        Take the run back instead of finishing it. An undo that was cut short is always finished.

    Raises
    ------
    RefusedError
        If a file is neither as before nor as after a change, or the run reaches further.
    """
    if not state_folder(home).is_dir():
        return Recovered(outcome="nothing to do")
    with folder_lock(home, "recover"):
        cut_torn_line(home)
        sweep_asides(kept_folders(home))
        sweep(store_of(home))
        runs = read_runs(home)
        run = next((run for run in runs if run.open), None)
        if run is None:
            if runs and runs[-1].stands:
                _drop_bakes(home, runs[-1])
            return Recovered(outcome="nothing to do")
        if run.undoing or back:
            undone = undo_run(home, run, reach=reach)
            _drop_bakes(home, run)
            return Recovered(outcome="taken back", operations=len(undone))
        return _finish(home, run, reach)


def _finish(home: Path, run: Run, reach: Sequence[Path]) -> Recovered:
    kept = plan_file(home, run.plan_sha256)
    document = load_state(kept, KIND)
    if document is None:
        raise RefusedError(f"The kept plan {kept} is gone.", _go_back(home))
    plan = plan_from(document)
    if sha256_of(kept) != run.plan_sha256:
        raise RefusedError(f"The kept plan {kept} is not the one that was begun.", _go_back(home))
    root = root_of(home, run)
    plan = _moved(plan, home, root, run)
    refuse_wider(home, plan.roots, reach)
    for step in run.steps:
        refuse_leading_out(root, from_document(step.operation))
    sweep_asides(touched_folders(home, run))
    finished = {step.number for step in run.steps if step.state == "done"}
    for step in run.steps:
        if step.state == "intent" and was_done(home, root, step):
            target = root / from_document(step.operation).target
            method = _method(target, root, step.operation)
            journal.append_done(home, run.id, step.number, target, method)
            finished.add(step.number)
    seen = {
        number: verify(plan, operation)
        for number, operation in enumerate(plan.operations)
        if number not in finished
    }
    done = finish_run(plan, run.id, seen, bake_all(plan, seen))
    return Recovered(outcome="finished", operations=len(done))


def _drop_bakes(home: Path, run: Run) -> None:
    """Remove from the store what a run that stands or was taken back does not need any more."""
    kept = plan_file(home, run.plan_sha256)
    document = load_state(kept, KIND) if store_of(home).is_dir() else None
    if document is not None:
        drop_bakes(_moved(plan_from(document), home, root_of(home, run), run))


def _method(target: Path, root: Path, operation: dict[str, object]) -> str:
    if operation["do"] != "link_image":
        return "rename" if operation["do"] == "rename_image" else "write"
    source = root / str(operation["source"])
    return "hard link" if source.exists() and source.samefile(target) else "copy"


def _moved(plan: Plan, home: Path, root: Path, run: Run) -> Plan:
    """Return the plan for where the folder lies now, should it have been moved."""
    return replace(plan, root=root, target=home / run.target)


def _go_back(home: Path) -> str:
    return f"Take the run back: primecoat recover {pasteable(home)} --back."
