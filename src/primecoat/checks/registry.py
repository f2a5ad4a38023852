"""All checks, in the order of their codes."""

from __future__ import annotations

from primecoat.checks import (
    damaged_normal_map,
    declared_space,
    disagreement,
    environment_range,
    header_against_slot,
    look_alike_name,
    sixteen_bit_colour,
    tile_sets,
    token_against_slot,
    unreadable_image,
    value_space,
)
from primecoat.findings import Finding
from primecoat.reading.readings import Readings

CHECKS = (
    token_against_slot,
    header_against_slot,
    disagreement,
    look_alike_name,
    sixteen_bit_colour,
    environment_range,
    declared_space,
    tile_sets,
    value_space,
    damaged_normal_map,
    unreadable_image,
)
"""Modules with ``check(readings)``, which yields findings."""


def run_checks(readings: Readings) -> tuple[Finding, ...]:
    """Return all findings on a scene, those met while reading it first, without repeats."""
    found = list(readings.inventory.problems)
    for image in readings.images:
        found += image.record.problems
    for module in CHECKS:
        found += module.check(readings)
    return tuple(dict.fromkeys(found))
