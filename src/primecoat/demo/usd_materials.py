"""The materials of the tea scene as USD shader networks: same pictures, same factors.

Plain ones are UsdPreviewSurface; those with a coat, sheen, coloured speculars, factors on pictures
or transmission are MaterialX ``gltf_pbr``; the old one, which describes itself by glossiness, is
``standard_surface``. Sources: *UsdPreviewSurface Specification* 2.5, MaterialX 1.39 libraries.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from primecoat.demo.gltf_uses import ColourUse, PictureUse
from primecoat.demo.usd_text import Prim, tuple_text

Json = dict[str, Any]

ROOT = "/tea/materials"
SRGB = "srgb_rec709_scene"

_GLOSS = "KHR_materials_pbrSpecularGlossiness"
_NORMAL_SCALE = "(2, 2, 2, 1)"
_NORMAL_BIAS = "(-1, -1, -1, 0)"


class UsdMaterial:
    """A material being made from a glTF one.

    Parameters
    ----------
    source
        The glTF material.
    path_of
        Gives the picture of a glTF texture.
    """

    def __init__(self, source: Json, path_of: Callable[[Json], str]) -> None:
        self.source = source
        self.uses: list[PictureUse] = []
        self.colours: list[ColourUse] = []
        self.prim = Prim(kind="def Material", title=str(source["name"]))
        self.cannot: list[str] = []
        self._path_of = path_of
        self._home = f"{ROOT}/{self.prim.name}"
        extensions = source.get("extensions", {})
        if _GLOSS in extensions:
            self._standard(extensions[_GLOSS])
        elif self._needs_gltf_pbr(extensions):
            self._gltf(extensions)
        else:
            self._preview(extensions)

    def _needs_gltf_pbr(self, extensions: Json) -> bool:
        wanted = ("clearcoat", "specular", "sheen", "transmission", "emissive_strength")
        return any(f"KHR_materials_{name}" in extensions for name in wanted)

    # --- nodes

    def _node(self, name: str, identifier: str, *properties: str) -> Prim:
        head = f'uniform token info:id = "{identifier}"'
        node = Prim(kind="def Shader", title=name, properties=[head, *properties])
        self.prim.children.append(node)
        return node

    def _connect(self, kind: str, name: str, source: str) -> str:
        return f"{kind} inputs:{name}.connect = <{self._home}/{source}>"

    def _surface(self, name: str, identifier: str, output: str = "outputs:surface") -> Prim:
        context = "outputs:mtlx:surface" if identifier.startswith("ND_") else output
        shown = "outputs:out" if identifier.startswith("ND_") else output
        self.prim.properties.append(f"token {context}.connect = <{self._home}/{name}.{shown}>")
        return self._node(name, identifier, f"token {shown}")

    def _file(self, texture: Json, space: str) -> str:
        path = self._path_of(texture)
        return f'asset inputs:file = @./{path}@ (\n    colorSpace = "{space}"\n)'

    def _use(self, texture: Json, slot: str, channels: str) -> None:
        owner = str(self.source["name"])
        path = self._path_of(texture)
        self.uses.append(PictureUse(path=path, owner=owner, slot=slot, channels=channels))

    def _colour(self, node: str, name: str, slot: str, value: list[float]) -> str:
        place = f"{self._home}/{node}.inputs:{name}"
        rgb = tuple(value[:3])
        self.colours.append(ColourUse(location=place, slot=slot, low=rgb, high=rgb))
        kind = "color4f" if len(value) == 4 else "color3f"
        return f"{kind} inputs:{name} = {tuple_text(value)}"

    # --- UsdPreviewSurface

    def _preview(self, extensions: Json) -> None:
        metal = self.source["pbrMetallicRoughness"]
        surface = self._surface("surface", "UsdPreviewSurface")
        put = surface.properties.append
        cut_out = self.source.get("alphaMode") == "MASK"
        st = 'string inputs:varname = "st"'
        self._node("st", "UsdPrimvarReader_float2", st, "float2 outputs:result")
        base = metal["baseColorTexture"]
        outputs = ["color3f outputs:rgb", *(["float outputs:a"] if cut_out else [])]
        self._reader("color", base, SRGB, "sRGB", *outputs)
        put(self._connect("color3f", "diffuseColor", "color.outputs:rgb"))
        self._use(base, "base_color", "rgb")
        if cut_out:
            put(self._connect("float", "opacity", "color.outputs:a"))
            put(f"float inputs:opacityThreshold = {self.source['alphaCutoff']}")
            self._use(base, "opacity", "a")
        if "metallicRoughnessTexture" in metal:
            packed = metal["metallicRoughnessTexture"]
            self._reader("packed", packed, "data", "raw", "float outputs:g", "float outputs:b")
            put(self._connect("float", "roughness", "packed.outputs:g"))
            put(self._connect("float", "metallic", "packed.outputs:b"))
            self._use(packed, "roughness", "g")
            self._use(packed, "metalness", "b")
        else:
            put(f"float inputs:roughness = {metal['roughnessFactor']}")
            put(f"float inputs:metallic = {metal['metallicFactor']}")
        if "normalTexture" in self.source:
            normal = self.source["normalTexture"]
            node = self._reader("normal", normal, "data", "raw", "float3 outputs:rgb")
            node.properties += [
                f"float4 inputs:scale = {_NORMAL_SCALE}",
                f"float4 inputs:bias = {_NORMAL_BIAS}",
            ]
            put(self._connect("normal3f", "normal", "normal.outputs:rgb"))
            self._use(normal, "normal", "rgb")
        if "occlusionTexture" in self.source:
            occlusion = self.source["occlusionTexture"]
            self._reader("occlusion", occlusion, "data", "raw", "float outputs:r")
            put(self._connect("float", "occlusion", "occlusion.outputs:r"))
            self._use(occlusion, "occlusion", "r")
        if "KHR_materials_diffuse_transmission" in extensions:
            self.cannot.append("the light that the bay leaf lets through")

    def _reader(self, name: str, texture: Json, space: str, word: str, *outputs: str) -> Prim:
        return self._node(
            name,
            "UsdUVTexture",
            self._file(texture, space),
            f'token inputs:sourceColorSpace = "{word}"',
            self._connect("float2", "st", "st.outputs:result"),
            'token inputs:wrapS = "repeat"',
            'token inputs:wrapT = "repeat"',
            *outputs,
        )

    # --- MaterialX gltf_pbr

    def _gltf(self, extensions: Json) -> None:
        metal = self.source["pbrMetallicRoughness"]
        surface = self._surface("surface", "ND_gltf_pbr_surfaceshader")
        put = surface.properties.append
        self._factored(surface, "base_color", metal, "baseColor", "base_color", "color")
        packed = metal.get("metallicRoughnessTexture")
        occlusion = self.source.get("occlusionTexture")
        if packed is not None:
            self._separated("packed", packed)
            put(self._connect("float", "roughness", "packed_parts.outputs:outy"))
            put(self._connect("float", "metallic", "packed_parts.outputs:outz"))
            self._use(packed, "roughness", "g")
            self._use(packed, "metalness", "b")
        else:
            put(f"float inputs:roughness = {metal['roughnessFactor']}")
            put(f"float inputs:metallic = {metal['metallicFactor']}")
        if occlusion is not None:
            put(self._connect("float", "occlusion", "packed_parts.outputs:outx"))
            self._use(occlusion, "occlusion", "r")
        if "normalTexture" in self.source:
            normal = self.source["normalTexture"]
            kind = "ND_gltf_normalmap_vector3_1_0"
            self._node("normal", kind, self._file(normal, "data"), "float3 outputs:out")
            put(self._connect("float3", "normal", "normal.outputs:out"))
            self._use(normal, "normal", "rgb")
        if "emissiveTexture" in self.source:
            self._factored(surface, "emissive", self.source, "emissive", "emissive", "glow")
            strength = extensions["KHR_materials_emissive_strength"]["emissiveStrength"]
            put(f"float inputs:emissive_strength = {strength}")
        coat = extensions.get("KHR_materials_clearcoat", {})
        if "clearcoatRoughnessTexture" in coat:
            rough = coat["clearcoatRoughnessTexture"]
            self._separated("coat", rough)
            put(f"float inputs:clearcoat = {coat['clearcoatFactor']}")
            put(self._connect("float", "clearcoat_roughness", "coat_parts.outputs:outy"))
            self._use(rough, "roughness", "g")
        specular = extensions.get("KHR_materials_specular", {})
        if "specularColorTexture" in specular:
            at = ("specular_color", specular, "specularColor", "specular_color", "specular")
            self._factored(surface, *at)
        sheen = extensions.get("KHR_materials_sheen")
        if sheen is not None:
            self._sheen(surface, sheen)
        if "KHR_materials_transmission" in extensions:
            self._transmission(surface, extensions)

    def _factored(
        self, surface: Prim, name: str, block: Json, term: str, slot: str, node: str
    ) -> None:
        """Add a picture with a factor, a picture, or a factor alone."""
        texture, factor = block.get(f"{term}Texture"), block.get(f"{term}Factor")
        if texture is None:
            if factor is not None:
                surface.properties.append(self._colour("surface", name, slot, factor[:3]))
            return
        kind = "ND_gltf_image_color3_color3_1_0"
        made = self._node(node, kind, self._file(texture, SRGB), "color3f outputs:out")
        if factor is not None:
            made.properties.append(self._colour(node, "factor", slot, factor[:3]))
        surface.properties.append(self._connect("color3f", name, f"{node}.outputs:out"))
        self._use(texture, slot, "rgb")

    def _separated(self, name: str, texture: Json) -> None:
        """Add a data picture and a node that takes its channels apart."""
        kind = "ND_gltf_image_vector3_vector3_1_0"
        self._node(name, kind, self._file(texture, "data"), "float3 outputs:out")
        self._node(
            f"{name}_parts",
            "ND_separate3_vector3",
            self._connect("float3", "in", f"{name}.outputs:out"),
            *(f"float outputs:out{axis}" for axis in "xyz"),
        )

    def _sheen(self, surface: Prim, sheen: Json) -> None:
        texture = sheen["sheenColorTexture"]
        factor = [*sheen["sheenColorFactor"], sheen["sheenRoughnessFactor"]]
        self._node(
            "sheen",
            "ND_gltf_colorimage",
            self._file(texture, SRGB),
            self._colour("sheen", "color", "sheen_color", factor),
            "color3f outputs:outcolor",
            "float outputs:outa",
        )
        surface.properties += [
            self._connect("color3f", "sheen_color", "sheen.outputs:outcolor"),
            self._connect("float", "sheen_roughness", "sheen.outputs:outa"),
        ]
        self._use(texture, "sheen_color", "rgb")
        self._use(texture, "roughness", "a")

    def _transmission(self, surface: Prim, extensions: Json) -> None:
        texture = extensions["KHR_materials_transmission"]["transmissionTexture"]
        volume = extensions["KHR_materials_volume"]
        kind = "ND_gltf_image_float_float_1_0"
        self._node("clear", kind, self._file(texture, "data"), "float outputs:out")
        colour = volume["attenuationColor"]
        surface.properties += [
            self._connect("float", "transmission", "clear.outputs:out"),
            self._colour("surface", "attenuation_color", "transmission_color", colour),
            f"float inputs:attenuation_distance = {volume['attenuationDistance']}",
            f"float inputs:thickness = {volume['thicknessFactor']}",
        ]
        self._use(texture, "other_data", "r")

    # --- MaterialX standard_surface

    def _standard(self, gloss: Json) -> None:
        surface = self._surface("surface", "ND_standard_surface_surfaceshader")
        diffuse, packed = gloss["diffuseTexture"], gloss["specularGlossinessTexture"]
        file = self._file(diffuse, SRGB)
        self._node("color", "ND_image_color3", file, "color3f outputs:out")
        self._tinted("base", "color", "base_color", gloss["diffuseFactor"][:3])
        file = self._file(packed, SRGB)
        self._node("packed", "ND_image_color4", file, "color4f outputs:out")
        into = self._connect("color4f", "in", "packed.outputs:out")
        self._node("shine", "ND_convert_color4_color3", into, "color3f outputs:out")
        self._tinted("specular", "shine", "specular_color", gloss["specularFactor"])
        self._node("parts", "ND_separate4_color4", into, "float outputs:outa")
        inverse = self._connect("float", "in", "parts.outputs:outa")
        self._node("rough", "ND_invert_float", inverse, "float outputs:out")
        surface.properties += [
            self._connect("color3f", "base_color", "base.outputs:out"),
            self._connect("color3f", "specular_color", "specular.outputs:out"),
            self._connect("float", "specular_roughness", "rough.outputs:out"),
        ]
        self._use(diffuse, "base_color", "rgb")
        self._use(packed, "specular_color", "rgb")
        self._use(packed, "glossiness", "a")
        self.cannot.append("the factor that plum glaze falls back to where glossiness is unknown")

    def _tinted(self, name: str, source: str, slot: str, factor: list[float]) -> None:
        self._node(
            name,
            "ND_multiply_color3",
            self._connect("color3f", "in1", f"{source}.outputs:out"),
            self._colour(name, "in2", slot, factor),
            "color3f outputs:out",
        )
