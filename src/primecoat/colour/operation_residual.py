"""How much of an operation on colours is left over if each of its colours is converted by itself.

Exact is: work in the source space, then convert the result. Used is: convert every colour that
goes in, then do the same work in the target.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, kept_by_config
from primecoat.colour.operations import NO_LIGHT, OPERATIONS, Floats
from primecoat.colour.products import (
    REFLECTANCES,
    Residual,
    change_matrix,
    check_linear,
    reflectances,
    residual_between,
)

ONE_COLOUR: Final = "the colours that stand there, no picture being among them"
DEPTHS: Final = "20,000 ways through it, uniform from 0 to 2 depths, seed 100"
_DEPTHS_SEED: Final = 100
_PROBE_SEED: Final = 200
_PROBE_TO: Final = 4.0
"""Whether an operation commutes is tried on light up to here: what clips at 1 must show."""

_NOTHING: Final = 1e-5
"""Root mean squares up to here are the float32 of the conversions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationInput:
    """One input of an operation.

    Parameters
    ----------
    value
        Its one or three numbers; None if a picture or another node feeds it.
    colour
        Whether its numbers are a colour, which is converted; all others stay as they are.
    width
        How many numbers it has: 1 or 3.
    space
        Color Interop ID of a space of its own; None if it stands in the working space.
    known_space
        Whether it is said, in words that are known, which space that is.
    """

    name: str
    value: tuple[float, ...] | None = None
    colour: bool = False
    width: int = 3
    space: str | None = None
    known_space: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """What is done to colours: a kind of ``OPERATIONS`` or ``NO_LIGHT``, and what goes in."""

    kind: str
    inputs: tuple[OperationInput, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOver:
    """What converting each colour by itself leaves over of an operation.

    Parameters
    ----------
    residual
        The relative errors; None if no figure can be given.
    over
        The set that they are stated over, in words; empty without a figure.
    unknown
        Why there is no figure; empty if there is one.
    """

    residual: Residual | None = None
    over: str = ""
    unknown: str = ""


@kept_by_config(most=4096)
def left_over(operation: Operation, source: str, target: str, config: str) -> LeftOver | None:
    """Return what is left over of an operation; None if it commutes with the change of space.

    Parameters
    ----------
    operation
        What is done.
    source, target
        Color Interop IDs of the linear spaces it is done in, before and after.
    config
        OpenColorIO config that converts.

    Raises
    ------
    UseError
        If a space is not linear.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> picture = OperationInput(name="in1", colour=True)
    >>> def times(*tint):
    ...     tinted = OperationInput(name="in2", value=tint, colour=True)
    ...     work = Operation(kind="multiply", inputs=(picture, tinted))
    ...     return left_over(work, "lin_rec709_scene", "lin_ap1_scene", DEFAULT_CONFIG)
    >>> round(times(1.2, 1.0, 0.8).residual.p95, 3), times(0.5, 0.5, 0.5)
    (0.097, None)
    """
    check_linear(source, target)
    if source == target:
        return None
    if operation.kind in NO_LIGHT:
        return LeftOver(unknown=NO_LIGHT[operation.kind])
    matrix = change_matrix(source, target, config)
    probed = [_probe(i, n, source, config) for n, i in enumerate(operation.inputs)]
    if _residual(operation, probed, matrix).rms <= _NOTHING:
        return None
    unknown = [i.name for i in operation.inputs if i.value is None and not i.colour]
    if unknown:
        return LeftOver(unknown=f"what feeds {', '.join(unknown)} is not known beforehand")
    astray = [i.name for i in operation.inputs if not i.known_space]
    if astray:
        return LeftOver(unknown=f"the space of {', '.join(astray)} is not known")
    sampled = _sampled(operation, source, config)
    return LeftOver(residual=_residual(operation, sampled, matrix), over=_over(operation))


def commutes_anyway(operation: Operation, config: str) -> bool:
    """Whether an operation commutes: tried from Rec.709 to AP1, for scenes of unknown space."""
    return left_over(operation, "lin_rec709_scene", "lin_ap1_scene", config) is None


def _residual(operation: Operation, inputs: list[Floats], matrix: Floats) -> Residual:
    work = OPERATIONS[operation.kind]
    names = [i.name for i in operation.inputs]
    converted = [
        np.broadcast_to(v, (len(v), 3)) @ matrix.T if i.colour else v
        for i, v in zip(operation.inputs, inputs, strict=True)
    ]
    with np.errstate(all="ignore"):
        exact = _rows(work(dict(zip(names, inputs, strict=True)))) @ matrix.T
        used = _rows(work(dict(zip(names, converted, strict=True))))
    return residual_between(used, exact)


def _rows(values: Floats) -> Floats:
    return np.array(np.broadcast_to(values, (len(values), 3)))


def _sampled(operation: Operation, source: str, config: str) -> list[Floats]:
    """Return the numbers of each input; every picture is another set of reflectances."""
    found, seed = [], 0
    for item in operation.inputs:
        if item.value is None:
            found.append(reflectances(seed))
            seed += 1
        elif item.name == "depths":
            found.append(2.0 * reflectances(_DEPTHS_SEED)[:, :1])
        else:
            found.append(_constant(item, source, config))
    return found


def _probe(item: OperationInput, number: int, source: str, config: str) -> Floats:
    if item.value is None or item.name == "depths":
        values = _PROBE_TO * reflectances(_PROBE_SEED + number)
        return values[:, : item.width]
    return _constant(item, source, config)


def _constant(item: OperationInput, source: str, config: str) -> Floats:
    values = np.array([item.value], dtype=np.float64)
    if item.colour and item.space and item.space != source and item.space in SPACES:
        row = np.broadcast_to(values, (1, 3))
        return convert(row, item.space, source, config).astype(np.float64)
    return values


def _over(operation: Operation) -> str:
    varying = sum(1 for i in operation.inputs if i.value is None)
    parts = [REFLECTANCES] if varying else []
    if varying > 1:
        parts.append(f"and as many others for each further picture (seeds 1 to {varying - 1})")
    if any(i.name == "depths" for i in operation.inputs):
        parts.append(f"{'and ' if parts else ''}{DEPTHS}")
    return " ".join(parts) or ONE_COLOUR
