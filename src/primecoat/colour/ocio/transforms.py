"""Corrections through OpenColorIO: lists of transforms, look-up files, CDL numbers; unoptimised.

A list of transforms is written as in a config: ``- !<CDLTransform> {slope: [1.2, 1, 0.8]}``.
"""

from __future__ import annotations

import re
import tempfile
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.ocio.configs import load_config
from primecoat.colour.ocio.look_guard import (
    read_look_bytes,
    refuse_elsewhere,
    refuse_not_finite,
)
from primecoat.colour.ocio.processors import Floats, applied, built, exact
from primecoat.colour.ocio.spaces import space_in_config
from primecoat.errors import InputError, UseError

Run = Callable[[NDArray[np.floating]], Floats]
"""RGB numbers, shape (..., 3), to as many; the input is not changed."""

Triple = tuple[float, float, float]

NUMBERS_ONLY: Final = (".cc", ".ccc", ".cdl")
"""Files of CDL numbers, which give the space that they work in."""

_LIST = "list"
_HEAD = f"""\
ocio_profile_version: 2.5
roles: {{default: raw}}
displays: {{}}
colorspaces:
  - !<ColorSpace> {{name: raw, isdata: true}}
  - !<ColorSpace>
    name: {_LIST}
    from_scene_reference: !<GroupTransform>
      children:
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One transform of a list.

    Parameters
    ----------
    name
        What it is, and the file it reads.
    run
        What it does to numbers.
    source, target
        Names of the spaces it stands between, if it says so itself; else None.
    converts
        Whether it does nothing but change the space.
    look_up
        Whether it reads a file that does not say which space it gives.
    """

    name: str
    run: Run
    source: str | None = None
    target: str | None = None
    converts: bool = False
    look_up: bool = False


def read_steps(text: str, path: Path, config: str) -> tuple[Step, ...]:
    """Return the transforms of a list in the syntax of a config, one transform or several.

    Parameters
    ----------
    text
        The list.
    path
        Where it stands; files that it names are looked for beside it.
    config
        Config whose spaces, looks and views the list names.

    Raises
    ------
    InputError
        If it is no such list, or a file that it reads is missing or broken.
    UseError
        If the config lacks a space, look or view that it names.
    """
    loaded = load_config(config)
    return tuple(_step(one, path, loaded) for one in _parsed(text, path))


def run_file(path: Path, data: bytes, config: str) -> Run:
    """Return what a look-up file does to numbers.

    Parameters
    ----------
    data
        Its bytes; they are laid under a name of their own, since OpenColorIO keeps what it once
        read by its path.

    Raises
    ------
    InputError
        If OpenColorIO cannot read it.
    """
    return _run(_standing_alone(ocio.FileTransform(), path, data, load_config(config)), config)


def run_cdl(
    slope: Triple, offset: Triple, power: Triple, saturation: float, *, clamp: bool, config: str
) -> Run:
    """Return what the numbers of a CDL do; ``clamp`` to 0 to 1 is what ASC CDL v1.2 says.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> numbers = (1.5, 1.5, 1.5), (0.0, 0.0, 0.0), (1.0, 1.0, 1.0), 1.0
    >>> for clamp in (False, True):
    ...     run_cdl(*numbers, clamp=clamp, config=DEFAULT_CONFIG)(np.full((1, 3), 4.0)).tolist()
    [[6.0, 6.0, 6.0]]
    [[1.0, 1.0, 1.0]]
    """
    transform = ocio.CDLTransform()
    transform.setSlope(slope)
    transform.setOffset(offset)
    transform.setPower(power)
    transform.setSat(saturation)
    transform.setStyle(ocio.CDL_ASC if clamp else ocio.CDL_NO_CLAMP)
    return _run(transform, config)


def is_display_space(name: str, config: str) -> bool:
    """Whether numbers of a space stand for light on a display.

    Raises
    ------
    UseError
        If the config has no such space, or it holds data.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> [is_display_space(n, DEFAULT_CONFIG) for n in ("ACEScct", "srgb_rec709_display")]
    [False, True]
    """
    space = load_config(config).getColorSpace(space_in_config(name, config))
    if space.isData():
        raise UseError(
            f"No correction can work on {name}: those numbers are data, no colours.",
            "Name the colour space that it works in.",
        )
    return bool(space.getReferenceSpaceType() == ocio.REFERENCE_SPACE_DISPLAY)


def _parsed(text: str, path: Path) -> list[ocio.Transform]:
    body = "\n".join(line for line in text.expandtabs().splitlines() if line.strip() != "---")
    bare = re.sub(r"^\s*(#.*)?$", "", body, flags=re.MULTILINE).strip()
    if bare.startswith("!<"):
        body = textwrap.indent(body, "  ").replace("  !<", "- !<", 1)
    if bare.startswith("["):
        raise _no_list(path, "a list in brackets")
    try:
        config = ocio.Config.CreateFromStream(_HEAD + textwrap.indent(body, " " * 8))
        group = config.getColorSpace(_LIST).getTransform(ocio.COLORSPACE_DIR_FROM_REFERENCE)
    except ocio.Exception as error:
        raise _no_list(path, _in_the_list(str(error).splitlines()[0])) from error
    if group is None or not len(group) or len(list(config.getColorSpaceNames())) != 2:
        raise _no_list(path, "no transform")
    return _flat(group, turned=False)


def _flat(group: ocio.GroupTransform, *, turned: bool) -> list[ocio.Transform]:
    """Return the transforms of groups in groups in the order that they act in."""
    turned ^= group.getDirection() == ocio.TRANSFORM_DIR_INVERSE
    found: list[ocio.Transform] = []
    for child in reversed(list(group)) if turned else group:
        if isinstance(child, ocio.GroupTransform):
            found += _flat(child, turned=turned)
            continue
        if turned:
            child.setDirection(
                ocio.CombineTransformDirections(ocio.TRANSFORM_DIR_INVERSE, child.getDirection())
            )
        found.append(child)
    return found


def _in_the_list(words: str) -> str:
    """Return OpenColorIO's words with lines counted from the start of the list."""
    words = words.removeprefix("Error: Loading the OCIO profile failed. ").rstrip(". ")
    above = _HEAD.count("\n")
    return re.sub(r"(?<=line )\d+", lambda found: str(int(found[0]) - above), words)


def _no_list(path: Path, found: str) -> InputError:
    return InputError(
        f"{path} is no list of OpenColorIO transforms: {found}.",
        "Write one a line, as in a config: - !<CDLTransform> {slope: [1.2, 1, 0.8]}",
    )


def _step(transform: ocio.Transform, path: Path, loaded: ocio.Config) -> Step:
    kind = type(transform).__name__
    source = target = None
    name, file = kind, None
    if isinstance(transform, (ocio.ColorSpaceTransform, ocio.LookTransform)):
        source, target = str(transform.getSrc()), str(transform.getDst())
        if isinstance(transform, ocio.LookTransform):
            name = f"{kind} {transform.getLooks()}"
    elif isinstance(transform, ocio.DisplayViewTransform):
        display, view = transform.getDisplay(), transform.getView()
        name, source = f"{kind} {view} of {display}", str(transform.getSrc())
        ends = str(loaded.getDisplayViewColorSpaceName(display, view))
        target = str(display) if ends == "<USE_DISPLAY_NAME>" else ends
    elif isinstance(transform, ocio.FileTransform):
        file = path.parent / str(transform.getSrc())
        refuse_elsewhere(path, file)
        name = f"{kind} {file.name}"
    turned = transform.getDirection() == ocio.TRANSFORM_DIR_INVERSE
    if turned:
        source, target, name = target, source, f"{name}, inverse"
    if file is not None:
        transform = _standing_alone(
            transform, file, read_look_bytes(file, f"{file}, which the list names"), loaded
        )
    return Step(
        name=name,
        run=_through(built(loaded, name, transform)),
        source=source,
        target=target,
        converts=isinstance(transform, ocio.ColorSpaceTransform),
        look_up=file is not None and file.suffix.lower() not in NUMBERS_ONLY,
    )


def _standing_alone(
    transform: ocio.FileTransform, path: Path, data: bytes, loaded: ocio.Config
) -> ocio.GroupTransform:
    """Return the operations of a file, held in memory."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, f"look{path.suffix.lower()}")
        copy.write_bytes(data)
        transform.setSrc(str(copy))
        try:
            steps = loaded.getProcessor(transform).createGroupTransform()
        except (ocio.Exception, ocio.ExceptionMissingFile, UnicodeDecodeError) as error:
            why = " ".join(str(error).replace(str(copy), path.name).split())
            raise InputError(
                f"Cannot read {path}: {why}", "Write it anew from where it came."
            ) from error
    refuse_not_finite(path, steps)
    return steps


def _run(transform: ocio.Transform, config: str) -> Run:
    return _through(built(load_config(config), "the correction", transform))


def _through(processor: ocio.Processor) -> Run:
    run = exact(processor)
    return lambda values: applied(run, values)
