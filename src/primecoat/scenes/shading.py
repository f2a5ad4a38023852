"""What the inputs of the open surface and light shaders are, as slots of the scene model.

Sources: MaterialX 1.39 libraries (``standard_surface``, ``open_pbr_surface`` 1.1.1, ``gltf_pbr``
2.0.1, ``surface_unlit``, ``displacement``, the light shaders), *UsdPreviewSurface* 2.6. Inputs
that are not named here are slotted by their type.
"""

from __future__ import annotations

_STANDARD_SURFACE = {
    "base_color": "base_color",
    "diffuse_roughness": "roughness",
    "metalness": "metalness",
    "specular_color": "specular_color",
    "specular_roughness": "roughness",
    "transmission_color": "transmission_color",
    "transmission_scatter": "other_color",
    "transmission_extra_roughness": "roughness",
    "subsurface_color": "subsurface_color",
    "subsurface_radius": "other_data",
    "sheen_color": "sheen_color",
    "sheen_roughness": "roughness",
    "coat_color": "coat_color",
    "coat_roughness": "roughness",
    "coat_normal": "normal",
    "emission_color": "emissive",
    "opacity": "opacity",
    "normal": "normal",
}
_OPEN_PBR_SURFACE = {
    "base_color": "base_color",
    "base_diffuse_roughness": "roughness",
    "base_metalness": "metalness",
    "specular_color": "specular_color",
    "specular_roughness": "roughness",
    "transmission_color": "transmission_color",
    "transmission_scatter": "other_color",
    "subsurface_color": "subsurface_color",
    "subsurface_radius_scale": "other_data",
    "fuzz_color": "sheen_color",
    "fuzz_roughness": "roughness",
    "coat_color": "coat_color",
    "coat_roughness": "roughness",
    "emission_color": "emissive",
    "geometry_opacity": "opacity",
    "geometry_normal": "normal",
    "geometry_coat_normal": "normal",
}
_GLTF_PBR = {
    "base_color": "base_color",
    "metallic": "metalness",
    "roughness": "roughness",
    "normal": "normal",
    "occlusion": "occlusion",
    "specular_color": "specular_color",
    "alpha": "opacity",
    "sheen_color": "sheen_color",
    "sheen_roughness": "roughness",
    "clearcoat_roughness": "roughness",
    "clearcoat_normal": "normal",
    "emissive": "emissive",
    "attenuation_color": "transmission_color",
}
_USD_PREVIEW_SURFACE = {
    "diffuseColor": "base_color",
    "emissiveColor": "emissive",
    "specularColor": "specular_color",
    "metallic": "metalness",
    "roughness": "roughness",
    "clearcoatRoughness": "roughness",
    "opacity": "opacity",
    "normal": "normal",
    "displacement": "height",
    "occlusion": "occlusion",
}
_SURFACE_UNLIT = {
    "emission_color": "emissive",
    "transmission_color": "transmission_color",
    "opacity": "opacity",
}

SHADERS: dict[str, dict[str, str]] = {
    "standard_surface": _STANDARD_SURFACE,
    "open_pbr_surface": _OPEN_PBR_SURFACE,
    "gltf_pbr": _GLTF_PBR,
    "UsdPreviewSurface": _USD_PREVIEW_SURFACE,
    "surface_unlit": _SURFACE_UNLIT,
    "displacement": {"displacement": "height"},
    "point_light": {"color": "light_color"},
    "directional_light": {"color": "light_color"},
    "spot_light": {"color": "light_color"},
}
"""Shader to input to slot."""

LIGHT_SHADERS = ("point_light", "directional_light", "spot_light")
"""Those of :data:`SHADERS` that are lights."""

COLOUR_TYPES = ("color3", "color4", "color3f", "color4f")
"""Types whose numbers are colour, in MaterialX and in USD (role ``color``)."""


def slot_of(shader: str, name: str, kind: str) -> str:
    """Return the slot that an input of a shader is.

    Parameters
    ----------
    shader
        Name of the shader, such as ``open_pbr_surface``.
    name
        Name of the input.
    kind
        Type of the input; decides where the table does not know the input.

    Examples
    --------
    >>> slot_of("open_pbr_surface", "fuzz_color", "color3")
    'sheen_color'
    >>> slot_of("my_shader", "tint", "color3"), slot_of("my_shader", "wear", "float")
    ('other_color', 'other_data')
    """
    known = SHADERS.get(shader, {}).get(name)
    return known or ("other_color" if kind in COLOUR_TYPES else "other_data")
