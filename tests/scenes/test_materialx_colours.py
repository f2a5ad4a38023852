"""MaterialX: which colours stand where, and that none is missed."""

from __future__ import annotations

import re
from pathlib import Path

import MaterialX as mx
import pytest
from tests.scenes.materialx_documents import document, image, material, read

from primecoat.scenes.formats import materialx

LIBRARIES = sorted(Path(mx.__file__).parent.glob("libraries/**/*.mtlx"))
"""The library's own documents: real node graphs, with many colours in them."""


EXCEPTIONS = {
    "standard_surface": ("subsurface_radius", "opacity"),
    "open_pbr_surface": ("subsurface_radius_scale",),
    "luminance": ("lumacoeffs",),
    "saturate": ("lumacoeffs",),
    "conductor_bsdf": ("ior", "extinction"),
    "subsurface_bsdf": ("radius",),
    "mix": ("mix",),
}


@pytest.mark.parametrize(("category", "name"), [(c, n) for c, ns in EXCEPTIONS.items() for n in ns])
def test_colour_typed_inputs_that_are_no_colours(tmp_path: Path, category: str, name: str):
    """They are listed with their rule."""
    scene = read(
        tmp_path,
        f'<{category} name="x" type="color3"><input name="{name}" type="color3" value="1,2,3"/>'
        f'<input name="in" type="color3" value="0.5,0.5,0.5"/></{category}>',
    )
    assert [c.location.place for c in scene.colours if not c.exception] == ["/x/in"]
    assert [c.location.place for c in scene.colours if c.exception] == [f"/x/{name}"]


def test_colour_that_only_feeds_data_is_none(tmp_path: Path):
    body = image("vector3") + (
        '<multiply name="m" type="color3"><input name="in1" type="color3" nodename="img"/>'
        '<input name="in2" type="color3" value="2,2,2"/></multiply>'
    )
    scene = read(tmp_path, body + material('name="normal" type="vector3" nodename="m"'))
    (value,) = scene.colours
    assert "normal" in value.exception


def test_lights_arrays_alpha_and_broken_values(tmp_path: Path):
    scene = read(
        tmp_path,
        '<point_light name="l" type="lightshader"><input name="color" type="color3" '
        'value="1 0.5,0.25"/></point_light>'
        '<constant name="k" type="color4"><input name="value" type="color4" value="1,2,3,0.5"/>'
        '</constant><thing name="t" type="color3"><input name="many" type="color3array" '
        'value="1,2,3, 3,2,1"/><input name="bad" type="color3" value="1,2"/>'
        '<input name="nan" type="color3" value="nan,0,0"/></thing>'
        '<nodedef name="ND_my" node="my"><input name="c" type="color3" value="9,9,9"/></nodedef>',
    )
    assert [(v.value, v.slot, v.owner) for v in scene.lights] == [
        ((1, 0.5, 0.25), "light_color", "l")
    ]
    plain, many = scene.colours
    assert (plain.value, plain.written) == ((1, 2, 3), "1,2,3,0.5")
    assert (many.value, many.maximum, many.count) == ((1, 2, 1), (3, 2, 3), 2)
    assert [p.location.place for p in scene.problems if p.location] == ["/t/bad", "/t/nan"]


def count_by_pattern(text: str) -> int:
    """Count colour-typed inputs with values in XML text, definitions left out, without a parser."""
    text = re.sub(r"(?s)<!--.*?-->|<nodedef\b.*?</nodedef>", "", text)
    tags = re.findall(r"<(?:input|parameter|property|geomprop)\b[^>]*>", text)
    return sum(
        bool(re.search(r'\stype="color[34]"', t) and re.search(r"\svalue=", t)) for t in tags
    )


@pytest.mark.parametrize("path", LIBRARIES, ids=lambda p: p.name)
def test_found_is_an_independent_count_on_real_documents(path: Path):
    """Found colours, lights and exceptions together are all colour-typed inputs with a value."""
    scene = materialx.read(path, path.name)
    found = len(scene.colours) + len(scene.lights)
    assert found == count_by_pattern(path.read_text(encoding="utf-8"))
    assert scene.problems == ()


def test_ten_thousand_colours_are_all_found(tmp_path: Path):
    kinds = ("base_color", "opacity", "emission_color", "subsurface_radius", "coat_color")
    body = "".join(
        f'<standard_surface name="s{n}" type="surfaceshader">'
        + "".join(f'<input name="{k}" type="color3" value="{n % 7}, 0.5, 1"/>' for k in kinds)
        + "</standard_surface>"
        for n in range(2000)
    )
    scene = read(tmp_path, body)
    listed = [c for c in scene.colours if c.exception]
    assert (len(scene.colours) - len(listed), len(listed)) == (6000, 4000)
    assert count_by_pattern(document(body)) == 10_000
