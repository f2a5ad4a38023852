"""Names of MaterialX, OpenUSD and ICC profiles: one reading each, or a reason why none."""

from __future__ import annotations

import re
from itertools import product
from typing import get_args

import MaterialX as mx
import pytest
from tests.config.builtins import BUILTINS, NEWEST, OLDEST, builtin, library_says
from tests.images.profiles import para, rgb_profile

from primecoat.colour.ids import NAMES, READINGS, SPACES, Curve, Primaries
from primecoat.config.identify import identify
from primecoat.config.names_elsewhere import NO_SPACE, named_elsewhere
from primecoat.images.encodings import reading_of
from primecoat.images.icc import classify_profile
from primecoat.scenes import materialx_names
from primecoat.scenes.usd.source_space import MEANING

Gf, Sdr = pytest.importorskip("pxr.Gf"), pytest.importorskip("pxr.Sdr")

NOT_A_SPACE = {"unknown", "auto"}


def materialx_library() -> set[str]:
    """Return the names in the library's own transforms, and those its documents are written in."""
    document = mx.createDocument()
    mx.loadLibraries(mx.getDefaultDataLibraryFolders(), mx.getDefaultDataSearchPath(), document)
    names = {e.getAttribute("colorspace") for e in document.traverseTree()}
    for graph in document.getNodeGraphs():
        found = re.fullmatch(r"NG_(\w+)_to_(lin_rec709)_color[34]", graph.getName())
        names |= set(found.groups()) if found else set()
    return names - {""}


def usd_library() -> set[str]:
    names = {str(getattr(Gf.ColorSpaceNames, n)) for n in dir(Gf.ColorSpaceNames) if n[0] != "_"}
    texture = Sdr.Registry().GetShaderNodeByIdentifier("UsdUVTexture")
    words = {word for word, _ in texture.GetShaderInput("sourceColorSpace").GetOptions()}
    assert len(names) > 15
    assert words == {"raw", "sRGB", "auto"}
    return names | words


def test_every_name_of_materialx_is_one_id():
    names = materialx_library()
    assert len(names) >= 11
    for name in names | materialx_names.CONVERTED:
        assert named_elsewhere(name).reading in SPACES, name


def test_every_name_of_openusd_is_one_id_or_has_a_reason():
    for name in usd_library():
        found = named_elsewhere(name)
        assert (found.reading in READINGS) == (name not in NOT_A_SPACE), found
        if name in NOT_A_SPACE:
            assert found.words == NO_SPACE[name]


def test_openusd_calls_the_space_as_we_do():
    """Source: ``Gf.ColorSpace`` of usd-core, which goes by primaries and curve."""
    for name in READINGS:
        if name.endswith("_scene"):
            assert Gf.ColorSpace.IsValid(name), name
            assert named_elsewhere(Gf.ColorSpace(name).GetName()).reading == name


def test_the_vocabularies_do_not_contradict_each_other():
    """A name that two tables hold has one reading in both."""
    materialx = {n: materialx_names.reading_of(n) for n in materialx_library()}
    assert all(NAMES.get(name, reading) == reading for name, reading in materialx.items())
    for name in {*NAMES, *MEANING}:
        known = materialx_names.reading_of(name)
        assert known in (None, named_elsewhere(name).reading), name


@pytest.mark.parametrize("name", ["sRGB", "srgb", "SRGB", " sRGB "])
def test_bare_srgb(name: str):
    """Curve and primaries of IEC 61966-2-1 together, in every built-in config."""
    assert named_elsewhere(name).reading == "srgb_rec709_scene"
    for config in BUILTINS:
        found = identify(builtin(config), name)
        assert found.reading == "srgb_rec709_scene"
        assert library_says(found.local_name or "") == "srgb_rec709_scene"


def test_every_name_of_other_libraries_works_in_every_config():
    """In the newest config each name leads to a space, or the name has no Color Interop ID."""
    newest, oldest = builtin(NEWEST), builtin(OLDEST)
    for name in materialx_library() | usd_library():
        found, old = identify(newest, name), identify(oldest, name)
        if name in NOT_A_SPACE:
            assert (found.local_name, old.local_name) == (None, None)
            continue
        assert library_says(found.local_name or "") == found.reading, name
        assert old.reading == found.reading
        assert old.local_name is None or library_says(old.local_name) == old.reading


@pytest.mark.parametrize(
    ("primaries", "curve"), list(product(get_args(Primaries), get_args(Curve)))
)
def test_curve_with_primaries_of_a_profile(primaries: Primaries, curve: Curve):
    """What a profile comes to is an ID that the newest config has, or no reading at all."""
    reading = reading_of(curve, primaries)
    if reading is None:
        assert not [s for s in SPACES.values() if (s.curve, s.primaries) == (curve, primaries)]
    else:
        found = identify(builtin(NEWEST), reading)
        assert found.reading == reading
        assert library_says(found.local_name or "") == reading


@pytest.mark.parametrize("primaries", ["rec709", "p3d65", "adobergb"])
def test_real_profile(primaries: str):
    """A profile built by the ICC's rules leads to the oldest config's space by its numbers."""
    facts = classify_profile(rgb_profile(primaries, para(0, 2.2)))
    found = identify(builtin(OLDEST), facts.reading or "")
    local = {"rec709": "Gamma 2.2 Rec.709 - Texture"}.get(primaries)
    assert (found.reading, found.local_name) == (facts.reading, local)
