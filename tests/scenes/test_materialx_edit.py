"""Edits of MaterialX documents change the attribute asked for and no other byte."""

from __future__ import annotations

from pathlib import Path

import MaterialX as mx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.errors import InputError, RefusedError
from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_names import space_name
from primecoat.scenes.model import Edit

ODD = (
    "<?xml version='1.0' encoding=\"UTF-8\"?>\r\n<!-- <input name='file' value='a.png'/> -->\r\n"
    '<materialx\tversion = "1.39"  colorspace="lin_rec709" fileprefix=\'tex/\' >\r\n'
    "  <image type='color3' name=\"i\" ><input value =\n 'a&#46;&lt;UDIM&gt;.png' name='file'\r\n"
    '\ttype="filename"   /></image>\r\n'
    "  <image name='n' type='vector3' fileprefix='tex/nrm_'>"
    "<input name='file' type='filename' value='tea.png'/></image>\r\n"
    "  <constant name='k' type='color4'><input name='value' type='color4' value=' 1,0,\t0 , .50'"
    " colorspace='lin_rec709' doc='&quot;é&quot;'/></constant>\r\n</materialx>\r\n\r\n"
)
"""Odd but valid MaterialX: CRLF, both quotes, spaces about '=', references, a comment."""

BASE = "/i/file@value"


def edited(place: str, before: str, after: str, data: bytes = ODD.encode()) -> bytes:
    return materialx.edit(data, [Edit(place=place, before=before, after=after)])


CASES = {
    "file behind a prefix": (
        (BASE, "tex/a.<UDIM>.png", "tex/a_data.<UDIM>.png"),
        ("a&#46;&lt;UDIM&gt;.png", "a_data.&lt;UDIM>.png"),
    ),
    "file elsewhere": (
        (BASE, "tex/a.<UDIM>.png", "other/a.png"),
        ("a&#46;&lt;UDIM&gt;.png", "../other/a.png"),
    ),
    "file behind a prefix that is no folder": (
        ("/n/file@value", "tex/nrm_tea.png", "tex/nrm_tea_data.png"),
        ("value='tea.png'", "value='tea_data.png'"),
    ),
    "space of its own": (
        ("/k/value@colorspace", "lin_rec709", "acescg"),
        ("' colorspace='lin_rec709'", "' colorspace='acescg'"),
    ),
    "space added, none there": (
        ("/i/file@colorspace", "", "srgb_texture"),
        ('type="filename"   />', 'type="filename" colorspace="srgb_texture"   />'),
    ),
    "space added, said as inherited": (
        ("/i/file@colorspace", "lin_rec709", "none"),
        ('type="filename"   />', 'type="filename" colorspace="none"   />'),
    ),
    "space of the document": (
        ("/@colorspace", "lin_rec709", "acescg"),
        ('  colorspace="lin_rec709"', '  colorspace="acescg"'),
    ),
    "colour": (
        ("/k/value@value", " 1,0, 0 , .50", " 0.5,0.25, 0 , .50"),
        ("' 1,0,\t0 , .50'", "' 0.5,0.25, 0 , .50'"),
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_only_the_attribute_changes(case: str):
    """In an oddly written document every byte but the attribute's stays."""
    (place, before, after), (old, new) = CASES[case]
    assert ODD.count(old) == 1
    assert edited(place, before, after) == ODD.replace(old, new).encode()


def test_plain_edits_are_taken_back_byte_for_byte():
    """Edits and their reverses give the file again."""
    edits = [
        Edit(place="/n/file@value", before="tex/nrm_tea.png", after="tex/nrm_cup.png"),
        Edit(place="/n/file@colorspace", before="", after="none"),
        Edit(place="/@colorspace", before="lin_rec709", after="acescg"),
    ]
    changed = materialx.edit(ODD.encode(), edits)
    assert changed == materialx.edit(ODD.encode(), edits[::-1])
    assert materialx.edit(changed, [e.reverse() for e in edits]) == ODD.encode()


@pytest.mark.parametrize(
    ("place", "before", "after", "error", "words"),
    [
        (BASE, "tex/b.png", "tex/c.png", RefusedError, "UDIM"),
        (BASE, "a.<UDIM>.png", "c.png", RefusedError, "tex/a"),
        ("/n/file@value", "tex/nrm_tea.png", "tex/tea.png", RefusedError, "fileprefix"),
        (BASE, "tex/a.<UDIM>.png", "/abs/c.png", RefusedError, "fileprefix"),
        ("/k/value@colorspace", "acescg", "none", RefusedError, "lin_rec709"),
        ("/k/value@colorspace", "", "none", RefusedError, "lin_rec709"),
        ("/i/file@colorspace", "acescg", "none", RefusedError, "lin_rec709"),
        ("/i/file@colorspace", "", "moonlight", RefusedError, "no colour space"),
        ("/nobody/file@value", "", "x", InputError, "/nobody/file"),
        ("/i/file@name", "file", "x", RefusedError, "cannot be edited"),
        ("/i@value", "", "x", RefusedError, "cannot be edited"),
        ("", "", "x", InputError, "Nothing stands"),
    ],
)
def test_edit_that_does_not_fit(place, before, after, error, words):
    """A place that says something else, or is not there, or may not change, stops the edit."""
    with pytest.raises(error, match=words):
        edited(place, before, after)


FED = (
    '<materialx version="1.39"><nodegraph name="g">'
    '<input name="f" type="filename" value="a.png" colorspace="OUTER"/>'
    '<image name="i" type="color3"><input name="file" type="filename" interfacename="f" '
    'colorspace="srgb_texture"/></image><image name="j" type="color3">'
    '<input name="file" type="filename" interfacename="f" colorspace="srgb_texture"/></image>'
    "</nodegraph></materialx>"
)


@pytest.mark.parametrize(
    ("outer", "after_i", "after_j", "after_outer"),
    [
        ("srgb_texture", "acescg", None, "acescg"),
        ("srgb_texture", "acescg", "acescg", "acescg"),
        ("srgb_texture", "acescg", "lin_rec709", "srgb_texture"),  # it cannot say both
        ("adobergb", "acescg", "acescg", "adobergb"),  # it never said the same
    ],
)
def test_an_interface_stays_in_step(outer: str, after_i: str, after_j, after_outer: str):
    """A graph's input that says the same space as the one it feeds does so after the edit too."""
    data = FED.replace("OUTER", outer).encode()
    edits = [
        Edit(place=f"/g/{node}/file@colorspace", before="srgb_texture", after=after)
        for node, after in (("i", after_i), ("j", after_j))
        if after
    ]
    changed = materialx.edit(data, edits)
    document = mx.createDocument()
    mx.readFromXmlString(document, changed.decode())
    places = ("g/f", "g/i/file", "g/j/file")
    said = [document.getDescendant(place).getColorSpace() for place in places]
    assert said == [after_outer, after_i, after_j or "srgb_texture"]
    assert materialx.edit(changed, [e.reverse() for e in edits]) == data


SCENE = (
    '<materialx version="1.39" colorspace="lin_rec709" fileprefix="tex/">\n'
    '  <image name="i" type="color3"><input name="file" type="filename" value="a.png" /></image>\n'
    '  <standard_surface name="s" type="surfaceshader">\n'
    '    <input name="base_color" type="color3" nodename="i" />\n'
    '    <input name="coat_color" type="color3" value="1, 0, 0" />\n'
    '    <input name="emission_color" type="color3" value="1, 1, 1" />\n'
    '    <input name="opacity" type="color3" value="1, 0, 0" />\n'
    "  </standard_surface>\n</materialx>\n"
)


def told(text: bytes) -> list[str]:
    """Return all elements as the library tells them."""
    document = mx.createDocument()
    mx.readFromXmlString(document, text.decode())
    assert document.validate()[0]
    return [e.asString() for e in document.traverseTree()]


def test_changed_document_validates_and_says_only_the_change():
    data = SCENE.encode()
    changed = edited("/i/file@colorspace", "lin_rec709", "srgb_texture", data)
    before, after = told(data), told(changed)
    different = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert different == [
        (
            '<input name="file" type="filename" value="a.png">',
            '<input name="file" type="filename" value="a.png" colorspace="srgb_texture">',
        )
    ]


def test_colours_into_the_working_space(tmp_path: Path):
    """Red goes to AP1 by the published numbers, white stays, what is no colour is not touched."""
    path = tmp_path / "s.mtlx"
    path.write_text(SCENE, encoding="utf-8")
    edits = []
    for colour in materialx.read(path, "s.mtlx").colours:
        if colour.exception:
            continue
        assert colour.declared_at
        working = convert(
            np.array([colour.value]), "lin_rec709_scene", "lin_ap1_scene", DEFAULT_CONFIG
        )[0].tolist()
        text = materialx.colour_text(colour.written, [tuple(working)])
        place = colour.location.place
        edits += [
            Edit(place=f"{place}@value", before=colour.written, after=text),
            Edit(
                place=colour.declared_at.place,
                before=colour.declared or "",
                after=space_name("lin_ap1_scene"),
            ),
        ]
    path.write_bytes(materialx.edit(SCENE.encode(), edits))
    told(path.read_bytes())
    red, white = (c for c in materialx.read(path, "s.mtlx").colours if not c.exception)
    assert red.value == pytest.approx((0.613097, 0.070194, 0.020616), abs=1e-6)
    assert white.value == pytest.approx((1, 1, 1), abs=1e-6)
    assert {red.declared, white.declared} == {"acescg"}
    assert b'name="opacity" type="color3" value="1, 0, 0" />' in path.read_bytes()


@given(
    st.lists(st.floats(-1e6, 1e6, width=32), min_size=3, max_size=4),
    st.lists(st.floats(-1e6, 1e6, width=32), min_size=3, max_size=3),
    st.sampled_from([",", ", ", " , ", " "]),
)
def test_colour_text_keeps_alpha_and_what_parts_the_numbers(old, new, comma):
    written = comma.join(f"{v:g}" for v in old)
    text = materialx.colour_text(written, [tuple(new)])
    parts = text.split(comma)
    assert [float(p) for p in parts[:3]] == pytest.approx(new, rel=1e-8)
    assert parts[3:] == written.split(comma)[3:]


def test_reference_text():
    assert materialx.reference_text("t\u00e9a pot/a.<UDIM>.png") == "t\u00e9a pot/a.<UDIM>.png"
