"""All checks, in the order of their codes."""

from __future__ import annotations

from primecoat.checks import (
    albedo_limits,
    beyond_half,
    colour_under_alpha,
    damaged_normal_map,
    dark_steps,
    declared_space,
    disagreement,
    eight_bit_linear,
    environment_range,
    gamut,
    green_direction,
    header_against_slot,
    inverse_roughness,
    light_cut_off,
    look_alike_name,
    lossy_data,
    misread_today,
    negative_colour,
    not_finite,
    part_statements,
    sixteen_bit_colour,
    stale_texture,
    stated_exposure,
    tile_curves,
    tile_sets,
    tile_sizes,
    token_against_slot,
    tone_curve,
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
    part_statements,
    misread_today,
    eight_bit_linear,
    value_space,
    damaged_normal_map,
    unreadable_image,
    not_finite,
    negative_colour,
    light_cut_off,
    beyond_half,
    colour_under_alpha,
    tile_sizes,
    tile_curves,
    green_direction,
    albedo_limits,
    tone_curve,
    dark_steps,
    lossy_data,
    inverse_roughness,
    stale_texture,
    stated_exposure,
    gamut,
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
