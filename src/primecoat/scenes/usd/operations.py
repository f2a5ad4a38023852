"""Work on colours between the textures and the surfaces of a stage.

Sources: *UsdPreviewSurface* 2.6 (``scale``, ``bias``); MaterialX 1.39.5 libraries, whose nodes
OpenUSD uses too.
"""

from __future__ import annotations

from typing import Any

from primecoat.colour.operation_residual import Operation, OperationInput
from primecoat.scenes.operations import REASONS, Fed, operation_of
from primecoat.scenes.usd.shaders import category_of, width
from primecoat.scenes.usd.walk import identifier_of

_INPUT = "inputs:"


def scale_and_bias(prim: Any) -> Operation | None:
    """Return what the scale and bias of a ``UsdUVTexture`` do; None if none is written."""
    inputs = [OperationInput(name="in", colour=True)]
    for name in ("scale", "bias"):
        attribute = prim.GetAttribute(f"{_INPUT}{name}")
        if attribute and (attribute.HasAuthoredValue() or attribute.HasAuthoredConnections()):
            inputs.append(OperationInput(name=name, value=(_numbers(attribute) or ())[:3] or None))
    return Operation(kind="scale_bias", inputs=tuple(inputs)) if len(inputs) > 1 else None


def node_operation(prim: Any, identifier: str, slot: str) -> tuple[Operation, str] | None:
    """Return what a MaterialX node does to colours, and why that may not be kept; else None."""
    category = category_of(identifier)
    if category not in REASONS or not identifier.startswith("ND_"):
        return None
    outputs = [o for o in prim.GetAttributes() if o.GetName().startswith("outputs:")]
    if not any(width(str(o.GetTypeName())) >= 3 for o in outputs):
        return None
    fed = [_fed(a) for a in prim.GetAuthoredAttributes() if a.GetName().startswith(_INPUT)]
    work = operation_of(category, slot, fed)
    return (work, REASONS[category]) if work else None


def _fed(attribute: Any) -> Fed:
    name, kind = attribute.GetName().removeprefix(_INPUT), str(attribute.GetTypeName())
    if kind[-1:] in "fdh" and kind[-2:-1] in "234":  # float3 is what MaterialX calls vector3
        kind = kind[:-1].replace("float", "vector")
    elif kind.startswith("float") and kind != "float":
        kind = kind.replace("float", "vector")
    numbers = _numbers(attribute)
    return Fed(name, kind, numbers, grey=numbers is None and _grey(attribute))


def _numbers(attribute: Any) -> tuple[float, ...] | None:
    """Return the numbers of an input; None if they change with time or something feeds it."""
    if attribute.HasAuthoredConnections() or attribute.GetNumTimeSamples() > 1:
        return None
    value = attribute.Get()
    if isinstance(value, int | float):  # a truth value is an int
        return (float(value),)
    return None if value is None or isinstance(value, str) else tuple(float(v) for v in value)


def _grey(attribute: Any) -> bool:
    """Whether what feeds an input has the same number in all channels."""
    stage, paths = attribute.GetStage(), attribute.GetConnections()
    sources = [stage.GetPrimAtPath(path.GetPrimPath()) for path in paths]
    return bool(sources) and all(_gives_grey(prim) for prim in sources)


def _gives_grey(prim: Any) -> bool:
    if not prim or prim.GetTypeName() != "Shader":
        return False
    identifier = str(identifier_of(prim))
    return identifier.startswith(("ND_convert_float_", "ND_luminance_"))
