"""Readings and a route in, plan out."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.plan.agreeing import word_wanted
from primecoat.plan.bake_route import plan_bake
from primecoat.plan.declare_route import plan_declare
from primecoat.plan.draft import Draft
from primecoat.plan.level_rebuild import plan_levels
from primecoat.plan.plan import Plan, Route
from primecoat.plan.recipe import USUAL, Storage
from primecoat.plan.tag_route import plan_tag
from primecoat.reading.judgement import FIRM, ImageReading
from primecoat.reading.readings import Readings
from primecoat.reading.two_ways import FILE_EACH, two_ways_words, wanted_two_ways

_BUILDERS = {"tag": plan_tag, "declare": plan_declare, "bake": plan_bake}


def build_plan(
    readings: Readings,
    route: Route,
    *,
    in_place: bool = False,
    with_likely: bool = False,
    leave_out: frozenset[str] = frozenset(),
    made: Mapping[str, str] | None = None,
    superseded: frozenset[str] = frozenset(),
    written: Mapping[str, Mapping[str, str]] | None = None,
    storage: Storage = USUAL,
    against: tuple[str, str] | None = None,
    data_levels: frozenset[str] = frozenset(),
) -> Plan:
    """Draw up the plan that makes a scene's readings explicit.

    Parameters
    ----------
    readings
        The scene, read; hashes must have been verified.
    route
        ``tag``, ``declare`` or ``bake``.
    in_place
        Rename files and rewrite scenes under their own names.
    with_likely
        Act on readings that are only ``likely`` as well.
    leave_out
        Images that a person wants left as they are, by their paths.
    made
        Files that earlier runs made: path relative to the root, hash.
    superseded
        Files that earlier runs replaced by others, relative to the root.
    written
        Scenes that earlier runs wrote beside the old ones, and that stand: path relative to the
        root, what stands at each place that was changed.
    storage
        How baked pictures are stored.
    against
        Display and view that pictures ready for a display are taken back through by a bake.
    data_levels
        Slots and images of data whose smaller levels are made anew.

    Raises
    ------
    UseError
        If the target does not lie in the first root (paths in a plan are relative to that), or
        ``data_levels`` or ``leave_out`` names what is not there.
    """
    target, root = readings.inventory.target, readings.inventory.roots[0]
    if not target.is_relative_to(root):
        raise UseError(
            f"{target} does not lie in the first --root, {root}.",
            "Give the root that holds it first.",
        )
    absent = leave_out - {image.record.path for image in readings.images}
    if absent:
        raise UseError(
            f"The survey has no image {min(absent)} to leave out.", "Name images as it does."
        )
    draft = Draft(
        readings,
        in_place=in_place,
        made=made or {},
        superseded=superseded,
        written=written or {},
        storage=storage,
        with_likely=with_likely,
        against=against,
        data_levels=data_levels,
    )
    ready = [
        image
        for image in readings.images
        if not is_superseded(image.record, draft.root, superseded)
        and _is_ready(image, draft, with_likely, leave_out)
    ]
    _BUILDERS[route](draft, ready)
    plan_levels(draft, ready)
    draft.write_scenes()
    return Plan(
        target=target,
        root=draft.root,
        reach=draft.roots[1:],
        route=route,
        in_place=in_place,
        from_space=readings.from_space,
        to_space=readings.to_space,
        operations=tuple(draft.operations),
        held=tuple(dict.fromkeys(draft.held)),
        findings=tuple(draft.findings),
    )


_MENDED = ("file_name_differs_in_case", "reference_is_not_portable")
"""Faults of a reference that writing it anew mends."""


def is_superseded(record: ImageRecord, root: Path, superseded: frozenset[str]) -> bool:
    """Whether every file of an image, and every scene that uses it, was replaced earlier."""
    if not (superseded and record.files):
        return False
    paths = [*record.files, *(use.scene.path for use in record.uses)]
    return superseded.issuperset(Path(os.path.relpath(path, root)).as_posix() for path in paths)


def _is_ready(
    image: ImageReading, draft: Draft, with_likely: bool, leave_out: frozenset[str]
) -> bool:
    """Whether an image can be acted on; if not, it is held."""
    path, again = image.record.path, draft.readings.again
    if path in leave_out:
        draft.hold(path, "A person left it out.", "Draw up a plan that does not leave it out.")
        return False
    broken = [p for p in image.record.problems if p.name not in _MENDED]
    unreadable = [m.problem for m in image.record.measures if m.problem]
    if broken:
        draft.hold(path, broken[0].message, broken[0].remedy)
    elif unreadable:
        draft.hold(path, unreadable[0], "Export it again, or restore it from a copy.")
    elif not image.record.measures:
        draft.hold(path, "There is no file.", "Put the file back.")
    elif wanted := wanted_two_ways(image):
        draft.hold(path, two_ways_words(wanted), FILE_EACH)
    elif image.standing in FIRM or (image.standing == "likely" and with_likely):
        return True
    elif image.standing == "likely":
        draft.hold(
            path,
            f"It is likely {image.reading}, but not settled.",
            f"Say so: {again.command('decide', path, image.reading)}; or plan with --with-likely.",
        )
    else:
        draft.hold(
            path,
            f"Its reading is {image.standing}.",
            word_wanted(image, again),
        )
    return False
