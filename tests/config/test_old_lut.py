"""An old look that was a LUT: each kind of file shows the codes of the old pipeline.

Between entries colour-science interpolates (1D by numpy), apart from OpenColorIO; the layouts are
those that each format's description gives. Where an old look gives code values, the view shows
those codes on the display that they are for.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from colour.algebra import table_interpolation_tetrahedral, table_interpolation_trilinear
from tests.config.builtins import BUILTINS, builtin
from tests.config.look_files import grid, lines, red_fastest
from tests.config.old_pipeline import (
    REC709,
    REC709_TO_AP1,
    SRGB,
    SRGB_DISPLAY,
    Array,
    everything,
    from_srgb,
    placed,
    srgb,
    through,
    worst,
)

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.config.look_file import load_look_file
from primecoat.config.old_view import add_old_view, old_view_name

CODES = 0.02
"""Greatest difference allowed, in 8-bit codes; the greatest measured is 0.009."""

LOG_LOW, LOG_HIGH = -9.0, 5.0


def filmic(light: Array) -> Array:
    """A tone curve with crossed channels, so that swapped axes show; made up. Out: 0 to 1."""
    mixed = np.maximum(light, 0.0) @ np.array([[0.9, 0.1, 0.0], [0.05, 0.9, 0.05], [0.0, 0.2, 0.8]])
    toned: Array = mixed / (mixed + 0.35)
    return toned


def curve(light: Array) -> Array:
    """A tone curve a channel, different for each. Out: 0 to 1."""
    light = np.maximum(light, 0.0)
    toned: Array = light / (light + np.array([0.3, 0.4, 0.5]))
    return toned


def between(table: Array, low: float, high: float, rgb: Array) -> Array:
    """Interpolate a 3D table between its 8 nearest entries; what lies outside goes to the edge."""
    place = np.clip((rgb - low) / (high - low), 0.0, 1.0)
    return np.asarray(table_interpolation_trilinear(place, table))


def along(table: Array, low: float, high: float, rgb: Array) -> Array:
    """Interpolate a table of shape (n, 3) or (n, 1), each channel alone."""
    steps = np.linspace(low, high, len(table))
    table = np.broadcast_to(table, (len(table), 3))
    return np.stack([np.interp(rgb[..., i], steps, table[:, i]) for i in range(3)], axis=-1)


Made = tuple[Path, str, str, Callable[[Array], Array]]
"""File, space it works in, space it gives, and the old pipeline from linear Rec.709 to codes."""


def cube_3d(folder: Path) -> Made:
    """Domain lines: linear light from -0.125 to 4, straight to sRGB codes."""
    table = grid(17, -0.125, 4.0, lambda rgb: srgb(filmic(rgb)))
    path = folder / "film.cube"
    path.write_text(
        'TITLE "tea set"\nLUT_3D_SIZE 17\nDOMAIN_MIN -0.125 -0.125 -0.125\nDOMAIN_MAX 4 4 4\n'
        + lines(red_fastest(table))
    )
    return path, REC709, SRGB, lambda light: between(table, -0.125, 4.0, light)


def cube_1d(folder: Path) -> Made:
    table = curve(np.repeat(np.linspace(0.0, 8.0, 513)[:, None], 3, axis=1))
    path = folder / "curve.cube"
    path.write_text("LUT_1D_SIZE 513\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 8 8 8\n" + lines(table) + "\n")
    return path, REC709, REC709, lambda light: srgb(along(table, 0.0, 8.0, light))


def spi1d(folder: Path) -> Made:
    steps = np.linspace(-0.5, 16.0, 1025)
    table = (np.maximum(steps, 0.0) / (np.maximum(steps, 0.0) + 0.4))[:, None]
    path = folder / "curve.spi1d"
    values = "\n".join(f"{value:.9f}" for value in table[:, 0])
    path.write_text(f"Version 1\nFrom -0.5 16.0\nLength 1025\nComponents 1\n{{\n{values}\n}}\n")
    return path, REC709, REC709, lambda light: srgb(along(table, -0.5, 16.0, light))


def spi3d(folder: Path) -> Made:
    """Works on sRGB-encoded scene values and gives the same kind."""
    table = grid(9, 0.0, 1.0, lambda rgb: srgb(filmic(from_srgb(rgb))))
    path = folder / "film.spi3d"
    rows = [
        f"{r} {g} {b} " + " ".join(f"{value:.9f}" for value in table[r, g, b])
        for r, g, b in np.ndindex(9, 9, 9)
    ]
    path.write_text("SPILUT 1.0\n3 3\n9 9 9\n" + "\n".join(rows) + "\n")
    encoded = "srgb_rec709_scene"
    return path, encoded, encoded, lambda light: between(table, 0.0, 1.0, srgb(light))


def csp(folder: Path) -> Made:
    """A curve before the 3D table: linear light to a logarithm of it."""
    stops = np.linspace(LOG_LOW, LOG_HIGH, 57)
    before = 2.0**stops
    place = np.linspace(0.0, 1.0, 57)
    table = grid(
        17, 0.0, 1.0, lambda at: srgb(filmic(2.0 ** (LOG_LOW + at * (LOG_HIGH - LOG_LOW))))
    )
    one = (
        f"57\n{' '.join(f'{value:.9g}' for value in before)}\n"
        f"{' '.join(f'{value:.9g}' for value in place)}\n"
    )
    path = folder / "film.csp"
    path.write_text(
        "CSPLUTV100\n3D\n\nBEGIN METADATA\nEND METADATA\n\n"
        + one * 3
        + "\n17 17 17\n"
        + lines(red_fastest(table))
        + "\n"
    )
    return (
        path,
        REC709,
        SRGB,
        lambda light: between(table, 0.0, 1.0, np.interp(light, before, place)),
    )


def clf(folder: Path) -> Made:
    """A curve of its own for each channel inside a Common LUT Format file (Academy S-2014-006)."""
    table = curve(np.repeat(np.linspace(0.0, 1.0, 65)[:, None], 3, axis=1))
    path = folder / "curve.clf"
    path.write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<ProcessList id="tea" compCLFversion="3">'
        '<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="65 3">\n'
        + lines(table)
        + "\n</Array></LUT1D></ProcessList>\n"
    )
    return path, REC709, REC709, lambda light: srgb(along(table, 0.0, 1.0, light))


def ctf(folder: Path) -> Made:
    """A matrix only: it has no range, so light above 1 goes through."""
    matrix = np.array([[0.5, 0.2, 0.1], [0.1, 0.6, 0.1], [0.0, 0.1, 0.7]])
    path = folder / "mix.ctf"
    path.write_text(
        '<ProcessList id="tea" version="1.3"><Matrix inBitDepth="32f" outBitDepth="32f">'
        f'<Array dim="3 3">{lines(matrix)}</Array></Matrix></ProcessList>'
    )
    return path, REC709, REC709, lambda light: srgb(light @ matrix.T)


def clf_3d(folder: Path) -> Made:
    """The file asks for interpolation between 4 entries instead of 8, and gets it."""
    table = grid(5, 0.0, 1.0, lambda rgb: srgb(filmic(from_srgb(rgb))))
    path = folder / "film.clf"
    path.write_text(
        '<ProcessList id="tea" compCLFversion="3"><LUT3D inBitDepth="32f" outBitDepth="32f" '
        f'interpolation="tetrahedral"><Array dim="5 5 5 3">\n{lines(table)}\n</Array></LUT3D>'
        "</ProcessList>"
    )
    return (
        path,
        SRGB,
        SRGB,
        lambda light: np.asarray(table_interpolation_tetrahedral(srgb(light), table)),
    )


def three_dl(folder: Path) -> Made:
    """Whole numbers of 12 bits, blue fastest, on code values of the display."""
    table = np.rint(4095.0 * grid(17, 0.0, 1.0, lambda rgb: srgb(filmic(from_srgb(rgb)))))
    path = folder / "film.3dl"
    mesh = " ".join(str(int(value)) for value in np.rint(np.linspace(0, 1023, 17)))
    rows = "\n".join(" ".join(str(int(value)) for value in row) for row in table.reshape(-1, 3))
    path.write_text(f"{mesh}\n{rows}\n")
    return path, SRGB, SRGB, lambda light: between(table / 4095.0, 0.0, 1.0, srgb(light))


KINDS = (cube_3d, cube_1d, spi1d, spi3d, csp, clf, clf_3d, ctf, three_dl)


def with_lut(folder: Path, kind: Callable[[Path], Made], base: str = DEFAULT_CONFIG):
    """Return a config that was written with its LUT and read back, the view, and the pipeline."""
    files, out = folder / "files", folder / "out"
    files.mkdir()
    out.mkdir()
    path, works_in, gives, pipeline = kind(files)
    look = load_look_file(path, works_in=works_in, gives=gives)
    config = builtin(base)
    add_old_view(config, look, made_in=REC709)
    back = placed(config, out, look)
    shutil.rmtree(files)
    return back, old_view_name(look, REC709), pipeline


@pytest.mark.parametrize("kind", KINDS)
def test_old_codes(tmp_path, kind):
    config, view, pipeline = with_lut(tmp_path, kind)
    values = everything()
    theirs = pipeline(values)
    assert worst(srgb(values), theirs) > 10, "the LUT does something"
    # the pipeline goes straight between the points before the table of a .csp, OpenColorIO lays a
    # smooth curve through them: 0.19 of a code
    allowed = 0.3 if kind is csp else CODES
    assert worst(through(config, values, view), theirs) < allowed
    fast = through(config, values, view, flags=ocio.OPTIMIZATION_DEFAULT)
    assert worst(fast, theirs) < 1.0


@pytest.mark.parametrize("base", BUILTINS)
def test_a_tone_map_on_every_base(tmp_path, base):
    config, view, pipeline = with_lut(tmp_path, cube_3d, base)
    values = everything()
    assert worst(through(config, values, view), pipeline(values)) < CODES


def test_codes_for_one_display_are_light_on_another(tmp_path):
    """What an sRGB display showed is shown by a display of BT.1886: decoded, encoded anew."""
    config, view, pipeline = with_lut(tmp_path, cube_3d)
    values = everything()
    shown = through(config, values, view, "Rec.1886 Rec.709 - Display")
    assert worst(shown**2.4, from_srgb(pipeline(values))) < CODES


def test_a_3d_lut_is_never_turned_round(tmp_path):
    config, view, _ = with_lut(tmp_path, cube_3d)
    for display in config.getDisplays():
        if view not in list(config.getViews(display)):
            continue
        transform = ocio.DisplayViewTransform(src="ACEScg", display=display, view=view)
        steps = config.getProcessor(transform).createGroupTransform()
        tables = [step for step in steps if isinstance(step, ocio.Lut3DTransform)]
        assert [step.getDirection() for step in tables] == [ocio.TRANSFORM_DIR_FORWARD]
    one_way = config.getViewTransform(view)
    assert one_way.getTransform(ocio.VIEWTRANSFORM_DIR_TO_REFERENCE) is None


def test_no_folder_of_the_user_stands_in_the_config(tmp_path):
    """The config and the folder beside it can be handed on together."""
    _, view, pipeline = with_lut(tmp_path, cube_1d)
    text = (tmp_path / "out" / "tea.ocio").read_text("utf-8")
    assert str(tmp_path) not in text
    assert "search_path: looks\n" in text
    moved = tmp_path / "moved"
    (tmp_path / "out").rename(moved)
    values = everything()
    again = ocio.Config.CreateFromFile(str(moved / "tea.ocio"))
    assert worst(through(again, values, view), pipeline(values)) < CODES


def test_a_lut_that_is_missing_is_said_by_name(tmp_path):
    _, view, _ = with_lut(tmp_path, cube_1d)
    (tmp_path / "out" / "looks" / "curve.cube").unlink()
    ocio.ClearAllCaches()
    config = ocio.Config.CreateFromFile(str(tmp_path / "out" / "tea.ocio"))
    with pytest.raises(ocio.ExceptionMissingFile, match=r"curve\.cube"):
        config.getProcessor("ACEScg", SRGB_DISPLAY, view, ocio.TRANSFORM_DIR_FORWARD)


def test_neutrals_stay_neutral_through_the_matrix():
    """The scale of the values that the tests feed: white of Rec.709 is white of AP1."""
    assert np.ones(3) @ REC709_TO_AP1.T == pytest.approx(np.ones(3), abs=1e-9)
