"""The one table of finding codes.

A code is never reused and never changes its meaning. Families: 1xx how an image is read,
2xx colours and lights, 3xx pixels, 4xx files and changes, 5xx colour configs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """One condition: its code, the name of the fault, its severity, the version it came with."""

    code: str
    name: str
    severity: Severity
    since: str


_ENTRIES = (
    CatalogueEntry("PC101", "token_contradicts_slot", "warning", "0.1"),
    CatalogueEntry("PC102", "header_contradicts_slot", "warning", "0.1"),
    CatalogueEntry("PC103", "one_picture_two_readings", "error", "0.1"),
    CatalogueEntry("PC104", "name_looks_like_a_token", "warning", "0.1"),
    CatalogueEntry("PC105", "sixteen_bit_colour_without_statement", "warning", "0.1"),
    CatalogueEntry("PC106", "environment_is_not_high_range", "warning", "0.1"),
    CatalogueEntry("PC107", "witnesses_disagree", "error", "0.1"),
    CatalogueEntry("PC108", "declared_space_is_not_known", "error", "0.1"),
    CatalogueEntry("PC109", "tiles_disagree", "error", "0.1"),
    CatalogueEntry("PC110", "declarations_contradict", "error", "0.1"),
    CatalogueEntry("PC111", "statements_contradict", "warning", "0.1"),
    CatalogueEntry("PC112", "parts_disagree", "warning", "0.1"),
    CatalogueEntry("PC113", "part_statement_is_not_known", "warning", "0.1"),
    CatalogueEntry("PC114", "read_otherwise_today", "error", "0.1"),
    CatalogueEntry("PC115", "eight_bits_called_linear", "warning", "0.1"),
    CatalogueEntry("PC201", "colour_space_of_value_unknown", "warning", "0.1"),
    CatalogueEntry("PC301", "normal_map_is_damaged", "error", "0.1"),
    CatalogueEntry("PC302", "image_cannot_be_read", "error", "0.1"),
    CatalogueEntry("PC303", "pixels_are_no_numbers", "error", "0.1"),
    CatalogueEntry("PC304", "colour_is_negative", "warning", "0.1"),
    CatalogueEntry("PC305", "light_is_cut_off", "warning", "0.1"),
    CatalogueEntry("PC306", "values_exceed_half_float", "warning", "0.1"),
    CatalogueEntry("PC307", "colour_under_zero_alpha", "note", "0.1"),
    CatalogueEntry("PC308", "tiles_differ_in_size", "note", "0.1"),
    CatalogueEntry("PC309", "green_direction_differs", "warning", "0.1"),
    CatalogueEntry("PC310", "albedo_is_not_plausible", "warning", "0.1"),
    CatalogueEntry("PC311", "tone_curve_suspected", "note", "0.1"),
    CatalogueEntry("PC312", "dark_steps_are_coarse", "warning", "0.1"),
    CatalogueEntry("PC313", "data_was_stored_lossy", "warning", "0.1"),
    CatalogueEntry("PC314", "texture_is_older_than_source", "warning", "0.1"),
    CatalogueEntry("PC315", "exposure_or_primaries_stated", "warning", "0.1"),
    CatalogueEntry("PC316", "colour_out_of_gamut", "warning", "0.1"),
    CatalogueEntry("PC317", "tile_went_through_a_curve", "error", "0.1"),
    CatalogueEntry("PC318", "roughness_is_inverted", "warning", "0.1"),
    CatalogueEntry("PC401", "file_is_missing", "error", "0.1"),
    CatalogueEntry("PC402", "file_name_differs_in_case", "error", "0.1"),
    CatalogueEntry("PC403", "file_is_outside_the_root", "error", "0.1"),
    CatalogueEntry("PC404", "reference_is_not_a_local_file", "error", "0.1"),
    CatalogueEntry("PC405", "reference_in_scene_is_broken", "error", "0.1"),
    CatalogueEntry("PC406", "scene_cannot_be_read", "error", "0.1"),
    CatalogueEntry("PC407", "wanted_name_is_taken", "error", "0.1"),
    CatalogueEntry("PC408", "image_is_used_by_another_scene", "error", "0.1"),
    CatalogueEntry("PC409", "folder_is_not_writable", "error", "0.1"),
    CatalogueEntry("PC410", "route_is_not_open_here", "note", "0.1"),
    CatalogueEntry("PC411", "reference_is_not_portable", "warning", "0.1"),
    CatalogueEntry("PC412", "variants_are_not_all_tried", "note", "0.1"),
    CatalogueEntry("PC413", "bake_holds_for_one_view", "note", "0.1"),
    CatalogueEntry("PC501", "lut_file_is_missing", "error", "0.1"),
    CatalogueEntry("PC502", "config_key_is_ignored", "error", "0.1"),
    CatalogueEntry("PC503", "rule_names_absent_space", "error", "0.1"),
    CatalogueEntry("PC504", "interchange_role_is_missing", "warning", "0.1"),
    CatalogueEntry("PC505", "data_is_not_marked", "error", "0.1"),
    CatalogueEntry("PC506", "role_names_absent_space", "error", "0.1"),
    CatalogueEntry("PC507", "display_has_no_usable_view", "error", "0.1"),
    CatalogueEntry("PC508", "view_names_absent_part", "error", "0.1"),
    CatalogueEntry("PC509", "rule_never_fires", "warning", "0.1"),
    CatalogueEntry("PC510", "rule_fires_inside_words", "warning", "0.1"),
    CatalogueEntry("PC511", "interop_id_names_no_space", "error", "0.1"),
    CatalogueEntry("PC512", "interop_id_is_used_twice", "error", "0.1"),
    CatalogueEntry("PC513", "interop_id_disagrees", "error", "0.1"),
    CatalogueEntry("PC514", "lut_is_inverted", "warning", "0.1"),
    CatalogueEntry("PC515", "path_is_not_portable", "warning", "0.1"),
    CatalogueEntry("PC516", "lut_name_differs_in_case", "error", "0.1"),
    CatalogueEntry("PC517", "inactive_space_is_used", "note", "0.1"),
    CatalogueEntry("PC518", "transform_cannot_be_built", "error", "0.1"),
    CatalogueEntry("PC519", "result_is_no_number", "error", "0.1"),
    CatalogueEntry("PC520", "curve_is_not_monotonic", "warning", "0.1"),
    CatalogueEntry("PC521", "neutral_gets_a_tint", "warning", "0.1"),
    CatalogueEntry("PC522", "working_role_is_missing", "error", "0.1"),
    CatalogueEntry("PC523", "config_needs_newest_library", "note", "0.1"),
    CatalogueEntry("PC524", "variable_has_no_default", "warning", "0.1"),
    CatalogueEntry("PC525", "config_is_refused", "error", "0.1"),
    CatalogueEntry("PC526", "look_names_absent_space", "error", "0.1"),
    CatalogueEntry("PC527", "view_has_another_white", "note", "0.1"),
)

CATALOGUE: dict[str, CatalogueEntry] = {entry.code: entry for entry in _ENTRIES}
