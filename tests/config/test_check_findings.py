"""Every fault of a config: found, alone, in a config that has it; absent in its healthy twin."""

from __future__ import annotations

import pytest
from tests.config.check_makers import Make, changed, healthy

from primecoat.config.check import check_config
from primecoat.findings import CATALOGUE

RULE = '{name: Data, colorspace: Raw, pattern: "*_raw", extension: exr}'
D60 = "!<BuiltinTransform> {style: UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD}"
"""The view transform of the healthy config."""

GLAZE = "!<FileTransform> {src: curve.spi1d}"

# ACES2065-1 to X, Y, Z without adaptation: SMPTE ST 2065-1:2021, Annex B; the digits are those of
# tests/data/reference/matrices__aces-dev-1.3.csv
AP0_TO_XYZ = (
    "[0.9525523959, 0, 0.0000936786, 0, 0.3439664498, 0.7281660966, -0.0721325464, 0, "
    "0, 0, 1.0088251844, 0, 0, 0, 0, 1]"
)

FAULTS: dict[str, tuple[Make, str]] = {
    "PC501": (changed(("src: warm.cube", "src: gone.cube")), "gone.cube"),
    "PC502": (changed(("encoding: scene-linear", "encodign: scene-linear")), "'encoding'"),
    "PC503": (changed((RULE, RULE.replace("colorspace: Raw", "colorspace: Roh"))), "'Roh'"),
    "PC504": (changed(("  aces_interchange: ACES2065-1\n", "")), "aces_interchange"),
    "PC505": (changed(("    isdata: true\n", "")), "'Raw'"),
    "PC506": (changed(("texture_paint: Glaze", "texture_paint: Glase")), "'Glase'"),
    "PC507": (
        changed(
            (
                "looks:\n  - !<Look>",
                "  Lamp:\n    - !<View> {name: Raw, colorspace: Raw}\nlooks:\n  - !<Look>",
            )
        ),
        "'Lamp'",
    ),
    "PC508": (
        changed(("{name: Warm, view_transform: Plain,", "{name: Warm, view_transform: Plane,")),
        "'Plane'",
    ),
    "PC509": (
        changed(
            (f"  - !<Rule> {RULE}\n", ""),
            ("  - !<Rule> {name: Default", f"  - !<Rule> {RULE}\n  - !<Rule> {{name: Default"),
        ),
        "earlier rule 'Light'",
    ),
    "PC510": (changed(('pattern: "*_raw"', 'pattern: "*raw"')), "straw.exr"),
    "PC511": (
        changed(("    aliases: [lin_ap1_scene]\n", "    aliases: [cg]\n")),
        "lin_ap1_scene",
    ),
    "PC512": (
        changed(
            (
                "    name: Glaze\n",
                "    name: Glaze\n    interop_id: tea:glaze\n    aliases: ['tea:glaze']\n",
            ),
            ("    name: Print\n", "    name: Print\n    interop_id: tea:glaze\n"),
        ),
        "Glaze, Print",
    ),
    "PC513": (
        changed(("DISPLAY - CIE-XYZ-D65_to_sRGB", "DISPLAY - CIE-XYZ-D65_to_DisplayP3")),
        "srgb_p3d65_display",
    ),
    "PC514": (
        changed(("texture_paint: Glaze", "texture_paint: Print")),
        "'Print'",
    ),
    "PC515": (changed(('"luts:', '"/studio/luts:luts:')), "/studio/luts"),
    "PC516": (changed(("src: warm.cube", "src: Warm.cube")), "'warm.cube'"),
    "PC517": (changed(("name: tea\n", "name: tea\ninactive_colorspaces: [Glaze]\n")), "'Glaze'"),
    "PC518": (
        changed((GLAZE, "!<ColorSpaceTransform> {src: Clay, dst: ACES2065-1}")),
        "Clay",
    ),
    "PC519": (changed((GLAZE, "!<MatrixTransform> {offset: [.nan, 0, 0, 0]}")), "no number"),
    "PC520": (changed(("src: curve.spi1d", "src: dips.spi1d")), "darker"),
    "PC521": (
        changed(
            (
                D60,
                "!<GroupTransform> {children: [!<CDLTransform> {power: [1.2, 1, 1]}, " + D60 + "]}",
            )
        ),
        "codes apart",
    ),
    "PC522": (changed(("  scene_linear: ACEScg\n", "")), "scene_linear"),
    "PC523": (changed(("ocio_profile_version: 2.5", "ocio_profile_version: 2.6")), "2.6"),
    "PC524": (changed(('luts/$FIRING"', 'luts/$FIRING:luts/$KILN"')), "KILN"),
    "PC525": (changed(("(srgb|glaze)", "(srgb|glaze")), "regular expression"),
    "PC526": (changed(("process_space: ACEScg", "process_space: ACEScq")), "'ACEScq'"),
    "PC527": (
        changed((D60, f"!<MatrixTransform> {{matrix: {AP0_TO_XYZ}}}")),
        "x 0.3217, y 0.3377",  # ACES white, 0.32168 and 0.33767: ACES documentation
    ),
}
"""Code to a config with that fault alone, and words that its message must have."""


@pytest.mark.parametrize("code", FAULTS)
def test_found_alone(code, tmp_path):
    make, words = FAULTS[code]
    found = check_config(str(make(tmp_path))).findings
    assert [f.code for f in found] == [code], [(f.code, f.message) for f in found]
    assert words in found[0].message + found[0].remedy
    assert found[0].remedy
    assert len(found[0].message.splitlines()) == 1


def test_healthy_twin_has_none(tmp_path):
    found = check_config(str(healthy(tmp_path)))
    assert found.findings == ()
    assert found.sound
    assert found.version == "2.5"
    assert found.counts.files == 3
    assert found.counts.views == 3
    assert found.counts.looks == 1
    assert found.counts.named_transforms == 1
    assert found.counts.rules == 4


def test_no_code_is_forgotten():
    assert sorted(FAULTS) == sorted(code for code in CATALOGUE if code.startswith("PC5"))
