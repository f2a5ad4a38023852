"""A small healthy config of a pottery's tea set, and changes that break one thing in it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

Make = Callable[[Path], Path]

HEALTHY = r"""ocio_profile_version: 2.5
environment: {FIRING: second}
search_path: "luts:luts/$FIRING"
strictparsing: true
name: tea
roles:
  aces_interchange: ACES2065-1
  cie_xyz_d65_interchange: CIE XYZ D65
  color_timing: ACEScg
  compositing_log: ACEScg
  data: Raw
  scene_linear: ACEScg
  texture_paint: Glaze
file_rules:
  - !<Rule> {name: Data, colorspace: Raw, pattern: "*_raw", extension: exr}
  - !<Rule> {name: Glazes, colorspace: Glaze, regex: ".*[._-](srgb|glaze)\\.(png|tif)"}
  - !<Rule> {name: Light, colorspace: ACEScg, pattern: "*", extension: exr}
  - !<Rule> {name: Default, colorspace: Raw}
displays:
  Screen:
    - !<View> {name: Plain, view_transform: Plain, display_colorspace: Screen}
    - !<View> {name: Warm, view_transform: Plain, display_colorspace: Screen, looks: warm}
    - !<View> {name: Raw, colorspace: Raw}
looks:
  - !<Look>
    name: warm
    process_space: ACEScg
    transform: !<FileTransform> {src: warm.cube}
default_view_transform: Plain
view_transforms:
  - !<ViewTransform>
    name: Plain
    from_scene_reference: !<BuiltinTransform> {style: UTILITY - ACES-AP0_to_CIE-XYZ-D65_BFD}
display_colorspaces:
  - !<ColorSpace>
    name: CIE XYZ D65
  - !<ColorSpace>
    name: Screen
    aliases: [srgb_rec709_display]
    interop_id: srgb_rec709_display
    from_display_reference: !<BuiltinTransform> {style: DISPLAY - CIE-XYZ-D65_to_sRGB}
colorspaces:
  - !<ColorSpace>
    name: ACES2065-1
    aliases: [lin_ap0_scene]
    interop_id: lin_ap0_scene
  - !<ColorSpace>
    name: ACEScg
    aliases: [lin_ap1_scene]
    interop_id: lin_ap1_scene
    encoding: scene-linear
    to_scene_reference: !<BuiltinTransform> {style: ACEScg_to_ACES2065-1}
  - !<ColorSpace>
    name: Raw
    isdata: true
  - !<ColorSpace>
    name: Glaze
    to_scene_reference: !<FileTransform> {src: curve.spi1d}
  - !<ColorSpace>
    name: Print
    from_scene_reference: !<FileTransform> {src: print.cube, interpolation: tetrahedral}
named_transforms:
  - !<NamedTransform>
    name: Brighter
    transform: !<MatrixTransform> {matrix: [2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 2, 0, 0, 0, 0, 1]}
"""


def curve(*values: float) -> str:
    """Return a 1D LUT over 0 to 1."""
    lines = "\n".join(map(str, values))
    return f"Version 1\nFrom 0.0 1.0\nLength {len(values)}\nComponents 1\n{{\n{lines}\n}}\n"


def cube(tint: float = 0.0, size: int = 5) -> str:
    """Return a 3D LUT; a tint lifts the red of mid-greys."""
    steps = [i / (size - 1) for i in range(size)]
    rows = [
        f"{r + tint * r * (1 - r):.6f} {g:.6f} {b:.6f}" for b in steps for g in steps for r in steps
    ]
    return f"LUT_3D_SIZE {size}\n" + "\n".join(rows) + "\n"


def write(folder: Path, text: str) -> Path:
    """Write a config with the files that the healthy one needs."""
    luts = folder / "luts"
    (luts / "second").mkdir(parents=True, exist_ok=True)
    (luts / "warm.cube").write_text(cube(0.2), "utf-8")
    (luts / "second" / "curve.spi1d").write_text(curve(0, 0.2, 0.6, 1), "utf-8")
    (luts / "print.cube").write_text(cube(), "utf-8")
    (luts / "dips.spi1d").write_text(curve(0, 0.6, 0.4, 1), "utf-8")
    path = folder / "tea.ocio"
    path.write_text(text, "utf-8")
    return path


def healthy(folder: Path) -> Path:
    """Write the healthy config."""
    return write(folder, HEALTHY)


def changed(*pairs: tuple[str, str]) -> Make:
    """Return a maker of the healthy config with words replaced; each must stand there once."""

    def make(folder: Path) -> Path:
        text = HEALTHY
        for old, new in pairs:
            assert text.count(old) == 1, (old, text.count(old))
            text = text.replace(old, new)
        return write(folder, text)

    return make
