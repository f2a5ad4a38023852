"""Look files written for a test: CDLs by their numbers, LUTs by their tables."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from tests.config.old_pipeline import Array, Numbers

WARM: Numbers = ((1.18, 1.02, 0.86), (0.012, -0.004, -0.021), (0.92, 1.0, 1.13), 1.24)
"""A warm grade of the tea set; made up."""

COOL: Numbers = ((0.8, 0.95, 1.3), (0.0, 0.01, 0.03), (1.1, 1.05, 0.9), 0.6)


def correction(numbers: Numbers, name: str = "") -> str:
    slope, offset, power, saturation = numbers
    parts = [
        f"<{tag}>{' '.join(f'{value!r}' for value in values)}</{tag}>"
        for tag, values in (("Slope", slope), ("Offset", offset), ("Power", power))
    ]
    given = f' id="{name}"' if name else ""
    return (
        f"<ColorCorrection{given}><SOPNode>{''.join(parts)}</SOPNode>"
        f"<SatNode><Saturation>{saturation!r}</Saturation></SatNode></ColorCorrection>"
    )


def write_cc(path: Path, numbers: Numbers = WARM) -> Path:
    path.write_text(correction(numbers, path.stem))
    return path


def write_ccc(path: Path, **named: Numbers) -> Path:
    inside = "".join(correction(numbers, name) for name, numbers in named.items())
    path.write_text(
        f'<ColorCorrectionCollection xmlns="urn:ASC:CDL:v1.2">{inside}</ColorCorrectionCollection>'
    )
    return path


def write_cdl(path: Path, **named: Numbers) -> Path:
    inside = "".join(
        f"<ColorDecision>{correction(numbers, name)}</ColorDecision>"
        for name, numbers in named.items()
    )
    path.write_text(f'<ColorDecisionList xmlns="urn:ASC:CDL:v1.2">{inside}</ColorDecisionList>')
    return path


def grid(size: int, low: float, high: float, curve: Callable[[Array], Array]) -> Array:
    """Tabulate a function of RGB; shape (size, size, size, 3), indexed by red, green, blue."""
    steps = np.linspace(low, high, size)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    return curve(rgb)


def lines(values: Array) -> str:
    return "\n".join(" ".join(f"{value:.9f}" for value in row) for row in values.reshape(-1, 3))


def red_fastest(table: Array) -> Array:
    return table.transpose(2, 1, 0, 3)
