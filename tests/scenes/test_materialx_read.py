"""MaterialX: which slot and channels an image serves, and what is no document."""

from __future__ import annotations

from pathlib import Path

import MaterialX as mx
import pytest
from tests.scenes.materialx_documents import document, image, material, read, used

from primecoat.errors import InputError
from primecoat.scenes.formats import materialx
from primecoat.scenes.model import SLOTS, Edit
from primecoat.scenes.shading import SHADERS

COLOUR, DATA = "color3", "float"


SLOT_TABLE = [
    ("standard_surface", "base_color", COLOUR, "base_color"),
    ("standard_surface", "specular_color", COLOUR, "specular_color"),
    ("standard_surface", "transmission_color", COLOUR, "transmission_color"),
    ("standard_surface", "subsurface_color", COLOUR, "subsurface_color"),
    ("standard_surface", "sheen_color", COLOUR, "sheen_color"),
    ("standard_surface", "coat_color", COLOUR, "coat_color"),
    ("standard_surface", "emission_color", COLOUR, "emissive"),
    ("standard_surface", "opacity", COLOUR, "opacity"),
    ("standard_surface", "subsurface_radius", COLOUR, "other_data"),
    ("standard_surface", "specular_roughness", DATA, "roughness"),
    ("standard_surface", "metalness", DATA, "metalness"),
    ("standard_surface", "coat", DATA, "other_data"),
    ("standard_surface", "normal", "vector3", "normal"),
    ("standard_surface", "coat_normal", "vector3", "normal"),
    ("open_pbr_surface", "base_color", COLOUR, "base_color"),
    ("open_pbr_surface", "fuzz_color", COLOUR, "sheen_color"),
    ("open_pbr_surface", "emission_color", COLOUR, "emissive"),
    ("open_pbr_surface", "subsurface_radius_scale", COLOUR, "other_data"),
    ("open_pbr_surface", "base_metalness", DATA, "metalness"),
    ("open_pbr_surface", "geometry_opacity", DATA, "opacity"),
    ("open_pbr_surface", "geometry_normal", "vector3", "normal"),
    ("gltf_pbr", "base_color", COLOUR, "base_color"),
    ("gltf_pbr", "emissive", COLOUR, "emissive"),
    ("gltf_pbr", "attenuation_color", COLOUR, "transmission_color"),
    ("gltf_pbr", "metallic", DATA, "metalness"),
    ("gltf_pbr", "occlusion", DATA, "occlusion"),
    ("gltf_pbr", "alpha", DATA, "opacity"),
    ("gltf_pbr", "normal", "vector3", "normal"),
    ("UsdPreviewSurface", "diffuseColor", COLOUR, "base_color"),
    ("UsdPreviewSurface", "specularColor", COLOUR, "specular_color"),
    ("UsdPreviewSurface", "emissiveColor", COLOUR, "emissive"),
    ("UsdPreviewSurface", "roughness", DATA, "roughness"),
    ("UsdPreviewSurface", "opacity", DATA, "opacity"),
    ("UsdPreviewSurface", "displacement", DATA, "height"),
    ("UsdPreviewSurface", "normal", "vector3", "normal"),
]


@pytest.mark.parametrize(("shader", "name", "kind", "slot"), SLOT_TABLE)
def test_slot_of_each_input(tmp_path: Path, shader: str, name: str, kind: str, slot: str):
    """An image at an input of a shading model has that input's slot, and the material's name."""
    plug = f'name="{name}" type="{kind}" nodename="img"'
    scene = read(tmp_path, image(kind) + material(plug, shader))
    assert used(scene) == {("img.png", slot, "r" if kind == DATA else "rgb")}
    assert {u.owner for u in scene.uses} == {"glaze"}


def test_every_input_in_our_table_is_one_of_the_library():
    """Names and slots in the table are those of the library and of the scene model."""
    library = mx.createDocument()
    mx.loadLibraries(["libraries"], mx.FileSearchPath(mx.__path__[0]), library)
    known: dict[str, set[str]] = {}
    for definition in library.getNodeDefs():
        names = {i.getName() for i in definition.getActiveInputs()}
        known.setdefault(definition.getNodeString(), set()).update(names)
    for shader, inputs in SHADERS.items():
        assert set(inputs) <= known[shader], shader
        assert set(inputs.values()) <= set(SLOTS)


PATHS = {
    "tinted": (
        image("color3")
        + '<multiply name="x" type="color3"><input name="in1" type="color3" nodename="img"/>'
        '<input name="in2" type="color3" value="1,1,0.5"/></multiply>',
        'name="base_color" type="color3" nodename="x"',
        {("img.png", "base_color", "rgb")},
    ),
    "extract": (
        image("color3")
        + '<extract name="x" type="float"><input name="in" type="color3" nodename="img"/>'
        '<input name="index" type="integer" value="2"/></extract>',
        'name="metalness" type="float" nodename="x"',
        {("img.png", "metalness", "b")},
    ),
    "separate": (
        image("vector3") + '<separate3 name="x" type="multioutput">'
        '<input name="in" type="vector3" nodename="img"/></separate3>',
        'name="specular_roughness" type="float" nodename="x" output="outy"',
        {("img.png", "roughness", "g")},
    ),
    "swizzle of 1.38": (
        image("color4")
        + '<swizzle name="x" type="color3"><input name="in" type="color4" nodename="img"/>'
        '<input name="channels" type="string" value="abg"/></swizzle>'
        '<swizzle name="y" type="float"><input name="in" type="color3" nodename="x"/>'
        '<input name="channels" type="string" value="r"/></swizzle>',
        'name="coat" type="float" nodename="y"',
        {("img.png", "other_data", "a")},
    ),
    "channels of 1.38": (
        image("color3"),
        'name="metalness" type="float" nodename="img" channels="g"',
        {("img.png", "metalness", "g")},
    ),
    "alpha": (
        image("color4")
        + '<extract name="x" type="float"><input name="in" type="color4" nodename="img"/>'
        '<input name="index" type="integer" value="3"/></extract>',
        'name="opacity" type="color3" nodename="x"',
        {("img.png", "opacity", "a")},
    ),
    "combine": (
        image("float", "one")
        + image("float", "two")
        + '<combine2 name="c" type="vector2"><input name="in1" type="float" nodename="one"/>'
        '<input name="in2" type="float" nodename="two"/></combine2>'
        '<extract name="x" type="float"><input name="in" type="vector2" nodename="c"/>'
        '<input name="index" type="integer" value="1"/></extract>',
        'name="metalness" type="float" nodename="x"',
        {("two.png", "metalness", "r"), ("one.png", "other_data", "r")},  # one is not wanted
    ),
    "mix and its mask": (
        image("color3", "one")
        + image("color3", "two")
        + image("float", "mask")
        + '<mix name="x" type="color3"><input name="fg" type="color3" nodename="one"/>'
        '<input name="bg" type="color3" nodename="two"/>'
        '<input name="mix" type="float" nodename="mask"/></mix>',
        'name="base_color" type="color3" nodename="x"',
        {
            ("one.png", "base_color", "rgb"),
            ("two.png", "base_color", "rgb"),
            ("mask.png", "mask", "r"),
        },
    ),
    "normal map": (
        image("vector3")
        + '<normalmap name="x" type="vector3"><input name="in" type="vector3" nodename="img"/>'
        "</normalmap>",
        'name="normal" type="vector3" nodename="x"',
        {("img.png", "normal", "rgb")},
    ),
    "height to normal": (
        image("float")
        + '<heighttonormal name="x" type="vector3"><input name="in" type="float" nodename="img"/>'
        "</heighttonormal>",
        'name="normal" type="vector3" nodename="x"',
        {("img.png", "height", "r")},
    ),
    "bump": (
        image("float")
        + '<bump name="x" type="vector3"><input name="height" type="float" nodename="img"/></bump>',
        'name="normal" type="vector3" nodename="x"',
        {("img.png", "height", "r")},
    ),
    "glossiness": (
        image("float")
        + '<invert name="x" type="float"><input name="in" type="float" nodename="img"/></invert>',
        'name="specular_roughness" type="float" nodename="x"',
        {("img.png", "glossiness", "r")},
    ),
    "luminance": (
        image("color3")
        + '<luminance name="x" type="color3"><input name="in" type="color3" nodename="img"/>'
        '</luminance><extract name="y" type="float"><input name="in" type="color3" nodename="x"/>'
        '<input name="index" type="integer" value="0"/></extract>',
        'name="specular_roughness" type="float" nodename="y"',
        {("img.png", "roughness", "rgb")},
    ),
    "UsdUVTexture rgb": (
        image("multioutput", category="UsdUVTexture"),
        'name="base_color" type="color3" nodename="img" output="rgb"',
        {("img.png", "base_color", "rgb")},
    ),
    "UsdUVTexture a": (
        image("multioutput", category="UsdUVTexture"),
        'name="metalness" type="float" nodename="img" output="a"',
        {("img.png", "metalness", "a")},
    ),
    "gltf_colorimage": (
        image("multioutput", category="gltf_colorimage"),
        'name="coat" type="float" nodename="img" output="outa"',
        {("img.png", "other_data", "a")},
    ),
    "triplanar": (
        '<triplanarprojection name="img" type="color3">'
        + "".join(f'<input name="file{a}" type="filename" value="{a}.png"/>' for a in "xyz")
        + "</triplanarprojection>",
        'name="base_color" type="color3" nodename="img"',
        {(f"{a}.png", "base_color", "rgb") for a in "xyz"},
    ),
    "picture in texture coordinates": (
        image("vector2", "warp")
        + image("color3").replace(
            "</image>", '<input name="texcoord" type="vector2" nodename="warp"/></image>'
        ),
        'name="base_color" type="color3" nodename="img"',
        {("img.png", "base_color", "rgb"), ("warp.png", "other_data", "rg")},
    ),
    "graph": (
        f'<nodegraph name="g">{image("color3")}<output name="o" type="color3" nodename="img"/>'
        '<output name="other" type="color3"/></nodegraph>',
        'name="base_color" type="color3" nodegraph="g" output="o"',
        {("img.png", "base_color", "rgb")},
    ),
    "graph with an input": (
        '<nodegraph name="g"><input name="f" type="filename" value="a.png"/>'
        '<image name="img" type="color3"><input name="file" type="filename" interfacename="f"/>'
        '</image><output name="o" type="color3" nodename="img"/></nodegraph>',
        'name="base_color" type="color3" nodegraph="g"',
        {("a.png", "base_color", "rgb")},
    ),
    "graph fed by a graph": (
        f'<nodegraph name="outer">{image("color3")}<output name="o" type="color3" nodename="img"/>'
        '</nodegraph><nodegraph name="g"><input name="c" type="color3" nodegraph="outer"/>'
        '<multiply name="m" type="color3"><input name="in1" type="color3" interfacename="c"/>'
        '</multiply><output name="o" type="color3" nodename="m"/></nodegraph>',
        'name="coat_color" type="color3" nodegraph="g"',
        {("img.png", "coat_color", "rgb")},
    ),
    "node of the document's own": (
        '<nodedef name="ND_my" node="my"><input name="f" type="filename" value="default.png"/>'
        '<output name="out" type="color3"/></nodedef><nodegraph name="NG_my" nodedef="ND_my">'
        '<image name="i" type="color3"><input name="file" type="filename" interfacename="f"/>'
        f'</image>{image("color3", "fixed")}<multiply name="m" type="color3">'
        '<input name="in1" type="color3" nodename="i"/>'
        '<input name="in2" type="color3" nodename="fixed"/></multiply>'
        '<output name="out" type="color3" nodename="m"/></nodegraph>'
        '<my name="x" type="color3"><input name="f" type="filename" value="a.png"/></my>',
        'name="base_color" type="color3" nodename="x"',
        {("a.png", "base_color", "rgb"), ("fixed.png", "base_color", "rgb")},
    ),
    "circle": (
        '<absval name="x" type="color3"><input name="in" type="color3" nodename="y"/></absval>'
        '<absval name="y" type="color3"><input name="in" type="color3" nodename="x"/></absval>',
        'name="base_color" type="color3" nodename="x"',
        set(),
    ),
    "dangling": ("", 'name="base_color" type="color3" nodename="nobody"', set()),
}


@pytest.mark.parametrize("case", PATHS)
def test_images_are_followed_through_the_graph(tmp_path: Path, case: str):
    """What stands between an image and a shader is gone through, with the channels kept."""
    body, plug, expected = PATHS[case]
    assert used(read(tmp_path, body + material(plug))) == expected


def test_one_image_for_several_slots(tmp_path: Path):
    """Each slot and channel of a packed image is a use of one reference."""
    body = image("vector3") + "".join(
        f'<extract name="x{n}" type="float"><input name="in" type="vector3" nodename="img"/>'
        f'<input name="index" type="integer" value="{n}"/></extract>'
        for n in range(3)
    )
    shader = (
        '<gltf_pbr name="s" type="surfaceshader">'
        '<input name="occlusion" type="float" nodename="x0"/>'
        '<input name="roughness" type="float" nodename="x1"/>'
        '<input name="metallic" type="float" nodename="x2"/></gltf_pbr>'
    )
    scene = read(tmp_path, body + shader)
    assert used(scene) == {
        ("img.png", "occlusion", "r"),
        ("img.png", "roughness", "g"),
        ("img.png", "metalness", "b"),
    }
    assert len(scene.references) == 1
    assert {u.owner for u in scene.uses} == {"s"}


@pytest.mark.parametrize(
    ("kind", "slot", "channels"),
    [
        ("color3", "other_color", "rgb"),
        ("color4", "other_color", "rgb"),
        ("float", "other_data", "r"),
        ("vector2", "other_data", "rg"),
        ("vector3", "other_data", "rgb"),
    ],
)
def test_image_that_reaches_no_shader_counts_by_its_type(
    tmp_path: Path, kind: str, slot: str, channels: str
):
    assert used(read(tmp_path, image(kind))) == {("img.png", slot, channels)}


def test_definitions_and_profiles_are_no_images(tmp_path: Path):
    """A default in a definition, an unused interface and a light profile are no image uses."""
    scene = read(
        tmp_path,
        '<nodedef name="ND_my" node="my"><input name="f" type="filename" value="d.png"/></nodedef>'
        '<nodegraph name="g"><input name="f" type="filename" value="unused.png"/></nodegraph>'
        '<measured_edf name="m" type="EDF"><input name="file" type="filename" value="a.ies"/>'
        "</measured_edf>" + image("color3").replace("img.png", ""),
    )
    assert used(scene) == set()


@pytest.mark.parametrize(
    ("root", "image_prefix", "value", "text"),
    [
        ("tex/", None, "a.png", "tex/a.png"),
        ("tex/", "", "a.png", "a.png"),
        ("tex/", "sub/", "a.png", "sub/a.png"),
        ("tex/cup_", None, "color.&lt;UDIM&gt;.png", "tex/cup_color.<UDIM>.png"),
        ("", None, "tex/a_&lt;UVTILE&gt;.png", "tex/a_<UVTILE>.png"),
        ("", None, "t\u00e9a &amp; \u8336.png", "t\u00e9a & \u8336.png"),
    ],
)
def test_fileprefix_and_tiles(tmp_path: Path, root: str, image_prefix, value: str, text: str):
    """The nearest fileprefix stands in front of the file name; placeholders stay as written."""
    own = "" if image_prefix is None else f' fileprefix="{image_prefix}"'
    body = (
        f'<image name="i" type="color3"{own}><input name="file" type="filename" value="{value}"/>'
        "</image>"
    )
    scene = read(tmp_path, body, f'fileprefix="{root}"')
    assert [r.text for r in scene.references] == [text]


@pytest.mark.parametrize("prefix", ["", "tex/", "tex/cup_"])
@pytest.mark.parametrize(
    "name", ["a.png", "/abs/a.png", "[id].png", "a_&lt;UDIM&gt;.png", "é b.png"]
)
def test_file_names_are_the_library_s_own(tmp_path: Path, prefix: str, name: str):
    """A reference is what the library resolves it to; what is written there is kept beside it."""
    body = (
        '<nodegraph name="g"><token name="id" type="string" value="cup"/><image name="i" '
        f'type="color3"><input name="file" type="filename" value="{name}"/></image></nodegraph>'
    )
    scene = read(tmp_path, body, f'fileprefix="{prefix}"')
    theirs = mx.createDocument()
    mx.readFromXmlString(theirs, document(body, f'fileprefix="{prefix}"'))
    (reference,) = scene.references
    assert reference.text == theirs.getDescendant("g/i/file").getResolvedValueString()
    assert reference.written == prefix + theirs.getDescendant("g/i/file").getValueString()
    edit = Edit(place="/g/i/file@value", before=reference.written, after=f"{prefix}b.png")
    (tmp_path / "s.mtlx").write_bytes(materialx.edit((tmp_path / "s.mtlx").read_bytes(), [edit]))
    assert materialx.read(tmp_path / "s.mtlx", "s.mtlx").references[0].text == f"{prefix}b.png"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("<foo/>", "no MaterialX"),
        ("<materialx", "well-formed"),
        ("{}", "well-formed"),
        ('<!DOCTYPE x [<!ENTITY a "b">]><materialx/>', "document type"),
        ("<materialx>" + "<a>" * 300 + "</a>" * 300 + "</materialx>", "inside one another"),
    ],
)
def test_what_is_no_materialx_is_one_clear_error(tmp_path: Path, text: str, words: str):
    (tmp_path / "s.mtlx").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=words):
        materialx.read(tmp_path / "s.mtlx", "s.mtlx")


def test_no_file_is_one_clear_error(tmp_path: Path):
    with pytest.raises(InputError, match=r"s\.mtlx"):
        materialx.read(tmp_path / "s.mtlx", "s.mtlx")


def test_empty_document(tmp_path: Path):
    scene = read(tmp_path, "")
    assert (scene.uses, scene.colours, scene.problems, scene.format) == ((), (), (), "materialx")
    assert materialx.claims(tmp_path / "s.MTLX")


def test_elements_that_the_library_passes_over_are_told(tmp_path: Path):
    """Of two elements with one name only the first is read, and that is said."""
    scene = read(tmp_path, image("color3") + image("float").replace("img.png", "lost.png"))
    assert used(scene) == {("img.png", "other_color", "rgb")}
    assert [p.location.place for p in scene.problems if p.location] == ["/img"]
