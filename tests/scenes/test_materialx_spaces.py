"""MaterialX: which colour space each image and colour is in, and where that comes from."""

from __future__ import annotations

from pathlib import Path

import MaterialX as mx
import pytest
from tests.scenes.materialx_documents import ROOT, said, write

from primecoat.colour.ids import READINGS
from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_file import read_document
from primecoat.scenes.materialx_names import CONVERTED, reading_of, space_name, why_no_name
from primecoat.scenes.materialx_spaces import effective_space, reads_today
from primecoat.scenes.materialx_uses import Uses


def graph(on_graph: str = "", on_node: str = "", on_input: str = "") -> str:
    return (
        f'<nodegraph name="g" {on_graph}><image name="i" type="color3" {on_node}>'
        f'<input name="file" type="filename" value="a.png" {on_input}/></image></nodegraph>'
    )


INHERITANCE = {
    "default: nothing says it": ("", graph(), "g/i/file", "", "", "s.mtlx"),
    "the document": (ROOT, graph(), "g/i/file", "lin_rec709", "/", "s.mtlx"),
    "the graph": (ROOT, graph(said("acescg")), "g/i/file", "acescg", "/g", "s.mtlx"),
    "the node": (ROOT, graph(on_node=said("g22_ap1")), "g/i/file", "g22_ap1", "/g/i", "s.mtlx"),
    "the input": (
        ROOT,
        graph(on_input=said("srgb_texture")),
        "g/i/file",
        "srgb_texture",
        "/g/i/file",
        "s.mtlx",
    ),
    "input over node over graph": (
        ROOT,
        graph(said("acescg"), said("g22_ap1"), said("srgb_texture")),
        "g/i/file",
        "srgb_texture",
        "/g/i/file",
        "s.mtlx",
    ),
    "node over graph": (
        ROOT,
        graph(said("acescg"), said("g22_ap1")),
        "g/i/file",
        "g22_ap1",
        "/g/i",
        "s.mtlx",
    ),
    "none over the document": (
        ROOT,
        graph(on_input=said("none")),
        "g/i/file",
        "none",
        "/g/i/file",
        "s.mtlx",
    ),
    "an empty one over the document": (
        ROOT,
        graph(on_graph=said("")),
        "g/i/file",
        "",
        "/g",
        "s.mtlx",
    ),
    "included, with its own": (
        ROOT,
        '<xi:include href="with.mtlx"/>',
        "g/i/file",
        "adobergb",
        "/",
        "with.mtlx",
    ),
    "included, without: the including document": (
        ROOT,
        '<xi:include href="bare.mtlx"/>',
        "g/i/file",
        "lin_rec709",
        "/",
        "s.mtlx",
    ),
    "included through another": (
        ROOT,
        '<xi:include href="chain.mtlx"/>',
        "g/i/file",
        "adobergb",
        "/",
        "with.mtlx",
    ),
    "included under a namespace": (
        ROOT,
        '<xi:include href="named.mtlx"/>',
        "ns:g/i/file",
        "g22_ap1",
        "/",
        "named.mtlx",
    ),
    "included wins over a local one of its name": (
        ROOT,
        '<xi:include href="with.mtlx"/>' + graph(on_input=said("acescg")),
        "g/i/file",
        "adobergb",
        "/",
        "with.mtlx",
    ),
    "a definition of the document": (
        ROOT,
        '<nodedef name="g" node="n" colorspace="acescg"><input name="c" type="color3" '
        'value="1,1,1"/></nodedef>',
        "g/c",
        "acescg",
        "/g",
        "s.mtlx",
    ),
}
"""What the root says, what stands in it, an element, and its space: name, origin, file."""


@pytest.mark.parametrize("case", INHERITANCE)
def test_effective_space_and_its_origin(tmp_path: Path, case: str):
    """The space is the library's own answer, and its words name the file and element it is from."""
    root, body, place, name, origin, file = INHERITANCE[case]
    path = write(tmp_path, root, body)
    document = read_document(path, "s.mtlx")
    (element,) = (e for e in document.root.below() if e.path == place)
    space = effective_space(document, element)
    assert (space.name, space.origin) == (name, origin)
    assert file in space.words or not origin
    theirs = mx.createDocument()
    mx.readFromXmlFile(theirs, str(path))
    assert theirs.getDescendant(place).getActiveColorSpace() == name


@pytest.mark.parametrize("case", [c for c in INHERITANCE if "included" in c])
def test_includes_are_merged_as_the_library_does(tmp_path: Path, case: str):
    """Element for element the merged document is the one the library's own reader makes."""
    path = write(tmp_path, *INHERITANCE[case][:2])
    theirs = mx.createDocument()
    mx.readFromXmlFile(theirs, str(path))
    ours = read_document(path, "s.mtlx")

    def told(document):
        return [
            (e.asString(), e.getNamePath(), e.getActiveColorSpace(), e.getActiveFilePrefix())
            for e in document.traverseTree()
        ]

    def plain(element):
        return {name: element.getAttribute(name) for name in element.getAttributeNames()}

    assert told(ours.library) == told(theirs)
    assert [
        (e.name, e.category, e.path, e.attributes, e.active("colorspace"), e.active("fileprefix"))
        for e in ours.root.below()
    ] == [
        (
            e.getName(),
            e.getCategory(),
            e.getNamePath(),
            plain(e),
            e.getActiveColorSpace(),
            e.getActiveFilePrefix(),
        )
        for e in theirs.traverseTree()
    ]


def test_included_content_is_listed_and_not_edited(tmp_path: Path):
    """What an include brings is read with the place in its own file; no edit is offered there."""
    scene = materialx.read(write(tmp_path, ROOT, '<xi:include href="named.mtlx"/>'), "s.mtlx")
    (use,) = scene.uses
    (reference,) = scene.references
    assert str(reference.location) == "named.mtlx#/g/i/file@value"
    assert (use.declared, use.declared_at) == ("g22_ap1", None)


TODAY = {
    "declared": ("color3", said("srgb_texture"), "base_color", "srgb_rec709_scene", "srgb_texture"),
    "inherited": ("color3", "", "base_color", "lin_rec709_scene", "root of s.mtlx"),
    "none": ("color3", said("none"), "base_color", "data", "as they stand"),
    "unknown name": ("color3", said("moonlight"), "base_color", "unknown", "do not know"),
    "no transform": (
        "color3",
        said("lin_rec2020_scene"),
        "base_color",
        "lin_rec2020_scene",
        "hold no",
    ),
    "vector in a colour slot": ("vector3", said("srgb_texture"), "base_color", "data", "vector3"),
    "colour in a data slot": (
        "color3",
        said("srgb_texture"),
        "specular_roughness",
        "srgb_rec709_scene",
        "srgb_texture",
    ),
    "float in a data slot": ("float", "", "specular_roughness", "data", "float"),
}


@pytest.mark.parametrize("case", TODAY)
def test_what_happens_today(tmp_path: Path, case: str):
    """Type and effective space decide what MaterialX makes of an image, whatever the slot wants."""
    kind, own, slot, today, words = TODAY[case]
    link = "convert" if kind != "float" else "multiply"
    path = write(
        tmp_path,
        ROOT,
        f'<image name="i" type="{kind}"><input name="file" type="filename" value="a.png" {own}/>'
        f'</image><{link} name="x" type="color3"><input name="in" type="{kind}" nodename="i"/>'
        f'</{link}><standard_surface name="s" type="surfaceshader">'
        f'<input name="{slot}" type="color3" nodename="x"/></standard_surface>',
    )
    (found,) = Uses(read_document(path, "s.mtlx")).images()
    assert found.today == today
    assert words in found.today_why


def test_no_working_space_no_conversion(tmp_path: Path):
    """Without a working space, or with one that no transform leads to, that is told."""
    body = '<image name="i" type="color3" colorspace="srgb_texture"/>'
    document = read_document(write(tmp_path, "", body), "s.mtlx")
    image = document.root.child("i")
    assert image is not None
    space = effective_space(document, image)
    reading, why = reads_today(space, "", colour=True, kind="type color3")
    assert reading == "srgb_rec709_scene"
    assert "names no working space" in why
    _, why = reads_today(space, "acescg", colour=True, kind="type color3")
    assert "none leads to acescg" in why


@pytest.mark.parametrize(
    ("kind", "own", "slot", "declared", "fixed"),
    [
        ("color3", "srgb_texture", "base_color", "srgb_texture", None),
        ("color3", None, "base_color", "lin_rec709", None),  # inherited
        ("color3", None, "metalness", None, None),  # the working space says nothing about data
        ("color3", "lin_rec709", "metalness", "lin_rec709", None),
        ("float", None, "metalness", None, "data"),
        ("float", "srgb_texture", "metalness", "srgb_texture", "data"),
        ("vector3", None, "base_color", None, None),
    ],
)
def test_declared_and_fixed(tmp_path: Path, kind: str, own, slot: str, declared, fixed):
    attribute = said(own) if own else ""
    path = write(
        tmp_path,
        ROOT,
        f'<image name="i" type="{kind}"><input name="file" type="filename" value="a.png" '
        f'{attribute}/></image><standard_surface name="s" type="surfaceshader">'
        f'<input name="{slot}" type="{kind}" nodename="i"/></standard_surface>',
    )
    (use,) = materialx.read(path, "s.mtlx").uses
    assert (use.declared, use.fixed) == (declared, fixed)
    assert str(use.declared_at) == "s.mtlx#/i/file@colorspace"


@pytest.mark.parametrize(
    ("outer", "inner", "declared", "at", "today"),
    [
        ("", "", "lin_rec709", "/g/i/file", "lin_rec709_scene"),
        ("srgb_texture", "", "srgb_texture", "/g/f", "lin_rec709_scene"),
        ("", "srgb_texture", "srgb_texture", "/g/i/file", "srgb_rec709_scene"),
        ("adobergb", "srgb_texture", "srgb_texture", "/g/i/file", "srgb_rec709_scene"),
    ],
)
def test_space_of_a_file_given_by_an_interface(
    tmp_path: Path, outer: str, inner: str, declared: str, at: str, today: str
):
    """The input inside a graph counts first, as in the library; one outside is heard, but only us.

    Where only the interface says a space the library passes over it, and ``today`` shows that.
    """
    out, inn = (said(s) if s else "" for s in (outer, inner))
    path = write(
        tmp_path,
        ROOT,
        f'<nodegraph name="g"><input name="f" type="filename" value="a.png" {out}/>'
        f'<image name="i" type="color3"><input name="file" type="filename" '
        f'interfacename="f" {inn}/></image>'
        '<output name="o" type="color3" nodename="i"/></nodegraph>'
        '<standard_surface name="s" type="surfaceshader">'
        '<input name="base_color" type="color3" nodegraph="g"/></standard_surface>',
    )
    (found,) = Uses(read_document(path, "s.mtlx")).images()
    assert found.spoken.declared == declared
    assert found.spoken.at
    assert found.spoken.at.place == f"{at}@colorspace"
    assert found.today == today


def test_names_and_readings():
    """Every name that is written reads back as its reading; none is made up for the others."""
    for reading in READINGS:
        name = space_name(reading)
        if name:
            assert reading_of(name) == reading
            assert reading == "data" or name in CONVERTED
        else:
            assert reading in why_no_name(reading)
        assert reading_of(reading) == reading
    assert [r for r in READINGS if not space_name(r) and not r.endswith("_display")] == [
        "lin_ap0_scene",
        "lin_rec2020_scene",
        "lin_ciexyzd65_scene",
        "g24_rec709_scene",
        "srgb_ap1_scene",
    ]
