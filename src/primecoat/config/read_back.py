"""A written config read again: it must say what its content says, and all in it must build."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ids import UNKNOWN
from primecoat.config.build import build_config
from primecoat.config.content import ConfigContent
from primecoat.config.library_log import library_log
from primecoat.config.look import look_name
from primecoat.config.old_view import old_view_name
from primecoat.config.plan_content import aliases_of
from primecoat.errors import RefusedError


def read_back(path: Path, content: ConfigContent) -> int:
    """Load a written config and hold it against its content; return how many processors built.

    Parameters
    ----------
    path
        The config file; look files lie beside it.

    Raises
    ------
    RefusedError
        If OpenColorIO rejects it or warns of it, if it says anything else than the content, or
        if a conversion, view or look in it cannot be built. The message tells all of it.
    """
    faults: list[str] = []
    built = 0
    with library_log() as log:
        try:
            config = ocio.Config.CreateFromFile(str(path))
            config.validate()
            faults += differences(config, content)
            built, broken = build_everything(config)
            faults += broken
        except (ocio.Exception, ocio.ExceptionMissingFile) as error:
            faults.append(_one_line(error))
    faults += [" ".join(line.split()) for line in log if "Warning" in line or "Error" in line]
    if faults:
        raise RefusedError(
            f"The config made from {content.base} is not valid and is not kept: "
            f"{'; '.join(faults)}.",
            "Leave the look or the old view out, or take another base.",
        )
    return built


def differences(config: ocio.Config, content: ConfigContent) -> tuple[str, ...]:
    """Return what a config says otherwise than its content, in words."""
    return (
        *_rule_differences(config, content),
        *_space_differences(config, content),
        *_view_differences(config, content),
        *_text_differences(config, content),
    )


def build_everything(config: ocio.Config) -> tuple[int, tuple[str, ...]]:
    """Build every processor from and to every space, of every view and every look.

    Returns
    -------
    int, tuple of str
        How many were built, and those that could not be, in words.
    """
    working = ocio.ROLE_SCENE_LINEAR
    transforms: dict[str, ocio.Transform] = {}
    for name in config.getColorSpaceNames(ocio.SEARCH_REFERENCE_SPACE_ALL, ocio.COLORSPACE_ALL):
        transforms[f"from {name}"] = ocio.ColorSpaceTransform(src=name, dst=working)
        transforms[f"to {name}"] = ocio.ColorSpaceTransform(src=working, dst=name)
    for display in config.getDisplays():
        for view in config.getViews(display):
            transforms[f"view {view} of {display}"] = ocio.DisplayViewTransform(
                src=working, display=display, view=view
            )
    for name in config.getLookNames():
        transforms[f"look {name}"] = ocio.LookTransform(src=working, dst=working, looks=name)
    broken = []
    for what, transform in transforms.items():
        try:
            config.getProcessor(transform)
        except (ocio.Exception, ocio.ExceptionMissingFile) as error:
            broken.append(f"{what}: {_one_line(error)}")
    return len(transforms) - len(broken), tuple(broken)


def _rule_differences(config: ocio.Config, content: ConfigContent) -> Iterator[str]:
    names = {space.reading: space.name for space in content.spaces}
    rules = config.getFileRules()
    last = rules.getNumEntries() - 1
    found = [(rules.getName(i), rules.getRegex(i), rules.getColorSpace(i)) for i in range(last)]
    if found != [(rule.name, rule.regex, names[rule.reading]) for rule in content.rules]:
        yield "its file rules are others"
    if rules.getColorSpace(last) != content.default:
        yield f"a file without a token is {rules.getColorSpace(last)}, not {content.default}"
    roles = {str(role): str(space) for role, space in config.getRoles()}
    for role, space in content.roles:
        if roles.pop(role, None) != space:
            yield f"the role {role} is not {space}"
    yield from (f"the role {role} is too many" for role in roles)


def _space_differences(config: ocio.Config, content: ConfigContent) -> Iterator[str]:
    known = {space.reading: space.name for space in content.spaces} | {UNKNOWN: UNKNOWN}
    for reading, name in known.items():
        for alias in (reading, *aliases_of(reading)):
            found = config.getColorSpace(alias)
            if found is None or found.getName() != name:
                yield f"the name {alias} does not lead to {name}"
        space = config.getColorSpace(name)
        if content.keeps_ids and (space is None or space.getInteropID() != reading):
            yield f"{name} does not state the Color Interop ID {reading}"


def _view_differences(config: ocio.Config, content: ConfigContent) -> Iterator[str]:
    offered = {(str(d), str(v)) for d in config.getDisplays() for v in config.getViews(d)}
    for display, view in content.views:
        if (display, view) not in offered:
            yield f"the display {display} has no view {view}"
    if content.made_in is not None:
        old = old_view_name(content.old_look, content.made_in)
        if old not in {view for _, view in offered}:
            yield f"there is no view {old}"
    looks = {str(name) for name in config.getLookNames()}
    added = () if content.look is None else (look_name(content.look),)
    yield from (
        f"there is no look {name}" for name in (*content.looks, *added) if name not in looks
    )


def _text_differences(config: ocio.Config, content: ConfigContent) -> Iterator[str]:
    """Compare all the rest, in the words of the file."""
    wanted = build_config(content).serialize().splitlines()
    found = config.serialize().splitlines()
    for number, (a, b) in enumerate(zip(wanted, found, strict=False), start=1):
        if a != b:
            yield f"line {number} reads {b.strip()[:60]!r}, not {a.strip()[:60]!r}"
            return
    if len(wanted) != len(found):
        yield f"it has {len(found)} lines, not {len(wanted)}"


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split()).rstrip(".")
