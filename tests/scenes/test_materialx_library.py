"""What the MaterialX library itself does, as docs/decisions/0009-materialx.md says it does.

The library's shader generation writes down which transform it puts behind which image; that is
read here. When a new version does otherwise, these tests say which sentence is no longer true.
"""

from __future__ import annotations

import re

import MaterialX as mx
import pytest
from MaterialX import PyMaterialXGenGlsl as glsl
from MaterialX import PyMaterialXGenShader as shaders

from primecoat.colour.ids import SPACES
from primecoat.scenes.materialx_names import CONVERTED

PATH = mx.FileSearchPath(mx.__path__[0])
SRGB, ADOBE = 'colorspace="srgb_texture"', 'colorspace="adobergb"'


@pytest.fixture(scope="module")
def library():
    document = mx.createDocument()
    mx.loadLibraries(["libraries"], PATH, document)
    return document


@pytest.fixture
def main(library, capfd):
    """The main function of the shader that is generated for a document."""

    def generate(body: str, root: str = "lin_rec709") -> str:
        said = f'colorspace="{root}"' if root else ""
        document = mx.createDocument()
        mx.readFromXmlString(document, f'<materialx version="1.39" {said}>{body}</materialx>')
        document.setDataLibrary(library)
        generator = glsl.GlslShaderGenerator.create()
        context = shaders.GenContext(generator)
        context.registerSourceCodeSearchPath(PATH)
        colours = shaders.DefaultColorManagementSystem.create(generator.getTarget())
        colours.loadLibrary(library)
        generator.setColorManagementSystem(colours)
        element = shaders.findRenderableElements(document)[0]
        source = generator.generate("s", element, context).getSourceCode("pixel")
        capfd.readouterr()  # it complains of unknown names there
        return str(source[source.index("void main()") :])

    return generate


@pytest.fixture
def transforms(main):
    """The colour transforms in that function."""

    def find(body: str, root: str = "lin_rec709") -> set[str]:
        return set(re.findall(r"NG_(\w+)_to_lin_rec709_color[34]", main(body, root)))

    return find


def shown(image: str, plug: str = 'name="base_color" type="color3" nodename="i"') -> str:
    return (
        f'{image}<standard_surface name="s" type="surfaceshader"><input {plug}/>'
        '</standard_surface><surfacematerial name="m" type="material">'
        '<input name="surfaceshader" type="surfaceshader" nodename="s"/></surfacematerial>'
    )


def image(kind: str = "color3", own: str = "", category: str = "image") -> str:
    return (
        f'<{category} name="i" type="{kind}">'
        f'<input name="file" type="filename" value="a.png" {own}/></{category}>'
    )


NAMES = sorted({n for s in SPACES.values() for n in (s.id, *s.aliases)} | CONVERTED)
UNKNOWN = ["none", "", "raw", "data", "Raw", "ACEScg", "srgb", "moonlight", "unknown"]


@pytest.mark.parametrize("name", [*NAMES, *UNKNOWN])
def test_names_that_the_library_converts(transforms, name: str):
    """It converts exactly the names that we say it does; under all others nothing happens."""
    found = transforms(shown(image(own=f'colorspace="{name}"')))
    assert bool(found) == (name in CONVERTED - {"lin_rec709"})


@pytest.mark.parametrize("root", ["lin_rec709", "lin_rec709_scene"])
def test_to_linear_rec709_it_converts(transforms, root: str):
    assert transforms(shown(image(own=SRGB)), root) == {"srgb_texture"}


@pytest.mark.parametrize("root", ["acescg", "lin_ap1", "lin_ap1_scene", "srgb_texture", "none", ""])
def test_to_no_other_working_space_it_converts(transforms, root: str):
    """The libraries hold transforms to lin_rec709 only; to others nothing is converted at all."""
    assert transforms(shown(image(own=SRGB)), root) == set()


@pytest.mark.parametrize(
    ("kind", "plug", "converted"),
    [
        ("color3", 'name="base_color" type="color3" nodename="i"', True),
        ("vector3", 'name="normal" type="vector3" nodename="i"', False),
        ("float", 'name="metalness" type="float" nodename="i"', False),
    ],
)
def test_only_colour_types_are_converted(transforms, kind: str, plug: str, converted: bool):
    assert bool(transforms(shown(image(kind, SRGB), plug))) == converted


def test_colour_type_in_a_data_slot_is_converted(transforms):
    """An image of type color3 is read as colour even where one channel of it is a roughness."""
    extract = (
        '<extract name="x" type="float"><input name="in" type="color3" nodename="i"/></extract>'
    )
    plug = 'name="specular_roughness" type="float" nodename="x"'
    assert transforms(shown(image(own=SRGB) + extract, plug)) == {"srgb_texture"}


@pytest.mark.parametrize(
    ("category", "output", "plug", "argument"),
    [
        ("UsdUVTexture", "rgb", 'name="base_color" type="color3"', "i_rgb_cm_out"),
        ("UsdUVTexture", "r", 'name="metalness" type="float"', "i_r"),
        ("UsdUVTexture", "a", 'name="metalness" type="float"', "i_a"),
        ("gltf_colorimage", "outcolor", 'name="base_color" type="color3"', "i_outcolor_cm_out"),
        ("gltf_colorimage", "outa", 'name="metalness" type="float"', "i_outa"),
    ],
)
def test_single_channels_are_not_converted(main, category, output, plug, argument):
    """Of an image with several outputs only the colour goes through a transform."""
    text = main(
        shown(image("multioutput", SRGB, category), f'{plug} nodename="i" output="{output}"')
    )
    call = re.search(r"NG_standard_surface\w*\(([^;]*)\);", text)
    assert call
    assert argument in call[1].split(", ")


def test_weights_are_converted(transforms):
    body = (
        '<luminance name="i" type="color3"><input name="in" type="color3" value="1,1,1"/>'
        f'<input name="lumacoeffs" type="color3" value="0.2,0.7,0.1" {SRGB}/></luminance>'
    )
    assert transforms(shown(body)) == {"srgb_texture"}


@pytest.mark.parametrize("name", ["base_color", "subsurface_radius", "opacity"])
def test_values_are_converted_even_where_they_are_no_colours(transforms, name: str):
    plug = f'name="{name}" type="color3" value="0.5,0.2,0.1" {SRGB}'
    assert transforms(shown("", plug)) == {"srgb_texture"}


@pytest.mark.parametrize(
    ("on_graph", "outer", "inner", "expected"),
    [
        (SRGB, "", "", {"srgb_texture"}),
        ("", "", SRGB, {"srgb_texture"}),
        ("", SRGB, "", set()),  # the interface alone is passed over
        ("", SRGB, ADOBE, {"adobergb"}),
        (ADOBE, SRGB, "", {"adobergb"}),
    ],
)
def test_interface_of_a_graph(transforms, on_graph: str, outer: str, inner: str, expected):
    """In a node graph the input inside counts, not the interface's."""
    graph = (
        f'<nodegraph name="g" {on_graph}><input name="f" type="filename" value="a.png" {outer}/>'
        f'<image name="i" type="color3"><input name="file" type="filename" interfacename="f" '
        f'{inner}/></image><output name="o" type="color3" nodename="i"/></nodegraph>'
    )
    plug = 'name="base_color" type="color3" nodegraph="g" output="o"'
    assert transforms(shown(graph, plug)) == expected


@pytest.mark.parametrize(
    ("instance", "inner", "expected"), [(SRGB, "", {"srgb_texture"}), ("", SRGB, set())]
)
def test_interface_of_a_node_of_the_document_s_own(transforms, instance, inner, expected):
    """For a node that the document defines, the instance's input counts."""
    body = (
        '<nodedef name="ND_my" node="my"><input name="f" type="filename" value=""/>'
        '<output name="out" type="color3"/></nodedef><nodegraph name="NG_my" nodedef="ND_my">'
        f'<image name="j" type="color3"><input name="file" type="filename" interfacename="f" '
        f'{inner}/></image><output name="out" type="color3" nodename="j"/></nodegraph>'
        '<my name="i" type="color3">'
        f'<input name="f" type="filename" value="a.png" {instance}/></my>'
    )
    assert transforms(shown(body)) == expected
